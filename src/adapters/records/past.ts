import type Database from 'better-sqlite3';
import type { Plan } from '../../core/sortplan/plan.ts';
import type { Correction } from './messages.ts';
import { ANIMALS } from './schema.ts';

/**
 * What is to be kept of a person's word about an animal of a session that is over: nothing where the
 * day book has no such animal today, or its plan no such lot.
 */
export function pastCorrections(
  db: Database.Database,
  said: Correction,
  today: string,
): Correction[] {
  const { session, animal, kind, value } = said;
  const found = db.prepare(CROSSING).get({ session, animal, today }) as Found | undefined;
  if (found === undefined) return [];
  if (kind !== 'lot' || value === null) return [said];
  const { lots = [] } = JSON.parse(found.plan ?? '{}') as Partial<Plan>;
  const lot = lots.find(({ name }) => name === value);
  if (lot === undefined) return [];
  const pen = db.prepare(PEN).pluck().get(found.n, lot.exit) as string | undefined;
  return [
    said,
    { ...said, kind: 'exit', value: lot.exit },
    { ...said, kind: 'pen', value: pen ?? lot.exit },
  ];
}

interface Found {
  n: number;
  plan: string | null;
}

const CROSSING = `
  SELECT s.n, coalesce(p.resolved, s.plan) AS plan
  FROM session s JOIN crossing c ON c.id = s.n * ${ANIMALS} + @animal
    LEFT JOIN plan p ON p.n = c.plan
  WHERE s.id = @session AND c.day = @today`;

const PEN = 'SELECT name FROM pen WHERE session = ? AND exit = ? ORDER BY n DESC LIMIT 1';
