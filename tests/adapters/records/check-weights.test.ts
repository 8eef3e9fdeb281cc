import { expect, it } from 'vitest';
import {
  checkWords,
  readChecks,
  type CheckRow,
} from '../../../src/adapters/records/check-weights.ts';
import { openForReading } from '../../../src/adapters/records/reader.ts';
import { siteFolder, wall, writeRows } from './example.ts';

const CHECK: CheckRow = {
  massKg: 20,
  middleKg: 20,
  cornersKg: [],
  maxKg: 200,
  divisionKg: 0.1,
  who: null,
};

function kept(...checks: Partial<CheckRow>[]) {
  const dir = siteFolder();
  writeRows(
    dir,
    checks.map((check, i) => ({
      kind: 'check-weight',
      check: { ...CHECK, ...check },
      wall: wall(i * 24 * 3_600_000),
    })),
  );
  return openForReading(dir);
}

it('keeps checks and gives the newest first, each against the one before of the same mass', () => {
  const db = kept({}, { massKg: 50, middleKg: 50.3 }, { middleKg: 20.1, cornersKg: [20.1, 20.2] });
  const [last, other, first] = readChecks(db, null, 10);
  expect(last).toMatchObject({ day: '2026-09-14', time: '09:00', massKg: 20 });
  expect(last?.found).toMatchObject({ errorKg: 0.1, driftKg: 0.1, cornerKg: 0.1, within: false });
  expect(other?.found).toMatchObject({ errorKg: 0.3, driftKg: null, within: false });
  expect(first?.found).toMatchObject({ errorKg: 0, driftKg: null, within: true });
  expect(readChecks(db, '2026-09-13', 10)).toHaveLength(1);
  expect(readChecks(db, null, 2)).toHaveLength(2);
  db.close();
});

it('says in words what a check found', () => {
  const db = kept({}, { middleKg: 20.1, cornersKg: [20, 20.1] }, { maxKg: 200, divisionKg: 0.3 });
  const [third, second] = readChecks(db, null, 10).map(checkWords);
  expect(second).toBe(
    '20 kg read 20.10 kg (+0.10 kg), corners -0.10 kg off the middle, ' +
      '+0.10 kg since the check before, within the 0.10 kg of class III in service',
  );
  expect(third).toContain('fit no class');
  db.close();
});
