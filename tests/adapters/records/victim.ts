/**
 * A process that saves crossings until it is killed or has saved as many as asked for:
 * `victim SITE FIRST COUNT`. Prints `sent N` before an animal is given to the records and
 * `saved N` when they have confirmed it.
 */
import { writeSync } from 'node:fs';
import { startRecords } from '../../../src/adapters/records/port.ts';
import { kgOf } from './kg-of.ts';

const [siteDir = '', first = '1', count = '1'] = process.argv.slice(2);
const begun = Number(first);
const wall = (animal: number) => ({
  atMs: Date.UTC(2026, 8, 12, 8) + animal * 10_000,
  clockSet: true,
});

const header = {
  trace: 1 as const,
  startedAt: new Date(wall(begun).atMs).toISOString(),
  scale: { divisionKg: 0.1, rateHz: 10 },
  inputs: [],
};
const records = startRecords({ siteDir, zone: 'UTC', version: '0', header, state: {} });
let next: () => void = () => undefined;
records.onSaved((_, animal) => {
  writeSync(1, `saved ${animal}\n`);
  next();
});

for (let animal = begun; animal < begun + Number(count); animal += 1) {
  for (let n = 0; n < 60; n += 1) records.input({ t: animal * 10_000 + n * 100, kg: n });
  const t = animal * 10_000;
  const crossing = {
    ...{
      animal,
      session: 'S1',
      tag: `9990000000${String(animal).padStart(5, '0')}`,
      exit: 'left',
      lot: 'Fit',
    },
    ...{ enteredAt: t, firstDecidedAt: t, decidedAt: t, letGoAt: t, leftAt: null },
    ...{
      decisionKg: kgOf(animal),
      recordedKg: kgOf(animal),
      uncertaintyKg: 0.1,
      rule: 'sure' as const,
    },
    ...{ reason: 'for a trial', revisions: 0, unsure: false, flags: [], marks: [] },
  };
  writeSync(1, `sent ${animal}\n`);
  const saved = new Promise<void>((resolve) => {
    next = resolve;
  });
  records.crossing(crossing, 'S1', false, wall(animal));
  await saved;
  records.crossing({ ...crossing, leftAt: t + 10 }, 'S1', true, wall(animal));
  if (animal % 4 === 0)
    records.rotate({ ...header, startedAt: new Date(wall(animal).atMs).toISOString() }, {});
}
await records.close();
