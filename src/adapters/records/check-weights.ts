/** Checks of the weigh crate with a known mass: kept as they were read, judged when looked at. */
import type Database from 'better-sqlite3';
import {
  checkWeight,
  type CheckResult,
  type CheckWeight,
} from '../../core/weighing/check-weight.ts';
import { daysOf } from './day.ts';
import type { RowMessage, Wall } from './messages.ts';

/** One check, as a person did it. */
export interface CheckRow extends Omit<CheckWeight, 'lastErrorKg'> {
  /** Greatest load and division of the weigh head, kg. */
  maxKg: number;
  divisionKg: number;
  who: string | null;
}

/** One check as it is shown; `found` is against the one before it with the same mass. */
export interface CheckLine extends CheckRow {
  day: string;
  /** `HH:MM` by the clock on the wall. */
  time: string;
  found: CheckResult;
}

export function checkStatements(db: Database.Database) {
  return {
    check: db.prepare(`INSERT INTO check_weight (at_ms, day, clock_set, max_kg, division_kg,
        mass_kg, middle_kg, corners, who)
      VALUES (@atMs, @day, @clockSet, @maxKg, @divisionKg, @massKg, @middleKg, @corners, @who)`),
  };
}

/** What the main thread orders of them. */
export function checkOrders(row: (message: RowMessage) => void): {
  checkWeight(check: CheckRow, wall: Wall): void;
} {
  return {
    checkWeight: (check, wall) => {
      row({ kind: 'check-weight', check, wall });
    },
  };
}

interface Raw {
  at_ms: number;
  day: string;
  max_kg: number;
  division_kg: number;
  mass_kg: number;
  middle_kg: number;
  corners: string;
  who: string | null;
  before_kg: number | null;
}

// n: the order in which they were done, whatever the clock said.
const CHECKS = `
  SELECT c.*, (SELECT b.middle_kg - b.mass_kg FROM check_weight b
    WHERE b.n < c.n AND b.mass_kg = c.mass_kg ORDER BY b.n DESC LIMIT 1) AS before_kg
  FROM check_weight c WHERE @day IS NULL OR c.day = @day ORDER BY c.n DESC LIMIT @most`;

/**
 * The checks of a day, or the last ones, newest first.
 * @param day `YYYY-MM-DD`, or null for any.
 */
export function readChecks(db: Database.Database, day: string | null, most: number): CheckLine[] {
  const zone = db.prepare('SELECT zone FROM site').pluck().get() as string;
  const { localTime } = daysOf(zone);
  const raws = db.prepare(CHECKS).all({ day, most }) as Raw[];
  return raws.map((raw) => {
    const { mass_kg: massKg, middle_kg: middleKg, who } = raw;
    const { max_kg: maxKg, division_kg: divisionKg, before_kg: lastErrorKg } = raw;
    const cornersKg = JSON.parse(raw.corners) as number[];
    return {
      ...{ day: raw.day, time: localTime(raw.at_ms).slice(11, 16), who },
      ...{ massKg, middleKg, cornersKg, maxKg, divisionKg },
      found: checkWeight(maxKg, divisionKg, { massKg, middleKg, cornersKg, lastErrorKg }),
    };
  });
}

/** What one check found, in words. */
export function checkWords({ massKg, middleKg, found }: CheckLine): string {
  const signed = (kg: number): string => `${kg < 0 ? '-' : '+'}${Math.abs(kg).toFixed(2)} kg`;
  const said = [`${massKg} kg read ${middleKg.toFixed(2)} kg (${signed(found.errorKg)})`];
  if (found.cornerKg !== null) said.push(`corners ${signed(found.cornerKg)} off the middle`);
  if (found.driftKg !== null) said.push(`${signed(found.driftKg)} since the check before`);
  if (found.accuracyClass === null || found.limitKg === null) {
    said.push('Max and division fit no class of OIML R 76-1');
  } else {
    const limit = `${found.limitKg.toFixed(2)} kg of class ${found.accuracyClass} in service`;
    said.push(found.within === true ? `within the ${limit}` : `MORE than the ${limit}`);
  }
  if (found.tooLight) said.push('the mass is too light to tell');
  return said.join(', ');
}
