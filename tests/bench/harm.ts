/**
 * Harm, not bits: bodies in the simulated yard, and every actuator that has current while one of them
 * is within its sweep. `npm run simulate -- --help` says how.
 */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import type { Beams } from '../../simulator/bodies.ts';
import { GATES, readDone, runTasks, unseen, withFaults, withoutFault } from '../harm/campaign.ts';
import { report } from '../harm/report.ts';
import { runHarm } from '../harm/run.ts';

const HELP = `npm run simulate -- --seed N [--gate NAME] [--fault "NAME"] [--beams along|end|none]
                        [--unseen reaching|jumping] [--animals N]    one run, step by step
npm run simulate -- --animals N --keep FOLDER      animals without a fault; goes on where it was ended
npm run simulate -- --faults N --keep FOLDER       every single fault N times
npm run simulate -- --unseen-too N --keep FOLDER   what no contact sees, N animals each
npm run simulate -- --report --keep FOLDER         the tables of what was kept
`;

const { values } = parseArgs({
  options: {
    seed: { type: 'string' },
    gate: { type: 'string' },
    fault: { type: 'string' },
    beams: { type: 'string', default: 'along' },
    unseen: { type: 'string' },
    animals: { type: 'string' },
    faults: { type: 'string' },
    'unseen-too': { type: 'string' },
    keep: { type: 'string', default: 'harm-campaign' },
    report: { type: 'boolean', default: false },
    help: { type: 'boolean', default: false },
  },
});

function show(seed: number): void {
  const fault = values.fault ?? null;
  const outcome = runHarm({
    gate: values.gate ?? 'three-way',
    seed,
    animals: Number(values.animals ?? (fault === null ? 100 : 12)),
    fault,
    beams: values.beams as Beams,
    unseen: (values.unseen ?? null) as 'reaching' | 'jumping' | null,
    sparse: fault === null,
    say: (t, text) => process.stdout.write(`${t.toString().padStart(8)} ${text}\n`),
  });
  process.stdout.write(`${JSON.stringify(outcome, null, 1)}\n`);
  if (outcome.harms.length > 0) process.exitCode = 1;
}

const file = join(values.keep, 'runs.ndjson');
if (values.seed !== undefined) show(Number(values.seed));
else if (values.report) process.stdout.write(report(readDone(file)));
else if (values.help || !(values.animals ?? values.faults ?? values['unseen-too'])) {
  process.stdout.write(HELP);
} else {
  mkdirSync(values.keep, { recursive: true });
  runTasks(withoutFault(Number(values.animals ?? 0)), file);
  runTasks(unseen(Number(values['unseen-too'] ?? 0)), file);
  runTasks(
    withFaults(values.gate === undefined ? GATES : [values.gate], Number(values.faults ?? 0)),
    file,
  );
}
