/** A site folder as a fault left it: faults in the day book, and the trace of a race. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { readTrace } from '../../src/replay/read.ts';
import { run } from '../../src/replay/run.ts';
import type { RowMessage } from '../../src/adapters/records/messages.ts';
import { initial } from '../../src/core/step.ts';
import type { Event, Input } from '../../src/core/trace.ts';
import { formatLine, type KeptRecord } from '../../src/core/trace-codec.ts';
import { session, wall, writeRows } from '../adapters/records/example.ts';

export const TRACE = '2026-09-12T08-00-00Z';
const GOLDEN = new URL('../golden/race.trace.ndjson', import.meta.url).pathname;

/** The golden race with what it leads to, and a stop that somebody presses in its last animal. */
function traceText(): string {
  const { header, records } = readTrace(GOLDEN);
  if (header.config === undefined) throw new Error('the golden trace names its configuration');
  const inputs = records.filter((one): one is Input => !isKept(one));
  const lastT = inputs.at(-1)?.t ?? 0;
  inputs.push({ t: lastT + 100, input: 'stopLoop', on: false });
  const state = initial(header.config);
  const lines = [
    formatLine({ ...header, startedAt: '2026-09-12T08:00:00.000Z', fank: '0.1.0' }),
    formatLine({ t: 0, state }),
  ];
  run({
    ...{ config: header.config, state, inputs, attend: false, untilMs: lastT + 3000 },
    produce: (item) => {
      if (item.kind === 'input') lines.push(formatLine(item.record));
      else if (item.kind === 'event') lines.push(formatLine({ t: item.t, event: item.event }));
      else lines.push(formatLine({ t: item.t, output: item.output, on: item.on }));
    },
  });
  return `${lines.join('\n')}\n`;
}

function isKept(record: Input | KeptRecord): record is KeptRecord {
  return ['bytes', 'truth', 'state', 'output', 'event'].some((key) => key in record);
}

function event(ms: number, what: Event): RowMessage {
  return { kind: 'event', session: 'S1', t: ms, event: what, wall: wall(ms) };
}

export function fillWorkshop(siteDir: string): void {
  writeRows(siteDir, [
    session('S1'),
    event(0, { kind: 'fault', fault: 'end-not-reached', on: true, detail: 'leafA' }),
    event(86_400_000, { kind: 'fault', fault: 'stop-pressed', on: true }),
    event(86_500_000, { kind: 'fault', fault: 'stop-pressed', on: true }),
  ]);
  const dir = join(siteDir, 'traces');
  mkdirSync(dir, { recursive: true });
  writeFileSync(join(dir, `${TRACE}.trace.ndjson.gz`), gzipSync(traceText()));
  writeFileSync(join(dir, 'bomb.trace.ndjson.gz'), gzipSync(Buffer.alloc(5e6)));
}
