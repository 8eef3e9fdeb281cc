/**
 * The table of seeds: `npx tsx tests/bench/listen.ts [FIRST LAST]`, 1001 to 1200 if not said.
 * Which seeds served the development, and what the others gave, stands in docs/listen.md.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createSession } from '../../simulator/head-session.ts';
import type { ScaleProfile } from '../../src/config/frames/schema.ts';
import { readProfile, shippedProfiles } from '../../src/config/profiles.ts';
import { hear } from '../listen/hearing.ts';
import { score } from '../listen/score.ts';

const first = Number(process.argv[2] ?? 1001);
const last = Number(process.argv[3] ?? 1200);

function shippedScales(): ScaleProfile[] {
  const folder = join(shippedProfiles(), 'scales');
  return readdirSync(folder).flatMap((file) => {
    const read = readProfile('scale', readFileSync(join(folder, file), 'utf8'), file);
    return read.ok ? [read.value] : [];
  });
}

const known = shippedScales();
const tally = { right: 0, 'not sure': 0, wrong: 0 };
let cpu = 0;
for (let seed = first; seed <= last; seed++) {
  const session = createSession(seed);
  const begin = process.cpuUsage();
  const heard = hear(session, known);
  const used = process.cpuUsage(begin);
  cpu += (used.user + used.system) / 1000;
  const { outcome, wrong } = score(session, heard);
  tally[outcome] += 1;
  if (outcome === 'right') continue;
  const { head, busy, adapter, sent } = session;
  const frame = sent.findLast(({ kg }) => kg > 10) ?? sent.at(-1);
  const shown = JSON.stringify(String.fromCharCode(...(frame?.bytes ?? [])));
  const why = outcome === 'wrong' ? wrong : heard.finding.doubts;
  console.log(
    `${seed} | ${outcome} | ${head.serial.baud} ${head.serial.framing} ${adapter.onError} | ${head.periodMs.toFixed(0)} ms | ${head.motion} | ${busy ? 'busy' : 'nothing on'} | ${shown} | ${why.join('; ')}`,
  );
}
const all = last - first + 1;
console.log(
  `seeds ${first} to ${last}: ${tally.right} right (${((100 * tally.right) / all).toFixed(1)} %), ${tally['not sure']} not sure, ${tally.wrong} wrong`,
);
console.log(
  `processor time of scan and inference, simulated port included: ${(cpu / all).toFixed(0)} ms a head`,
);
