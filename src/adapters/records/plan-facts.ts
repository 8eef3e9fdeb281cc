import type Database from 'better-sqlite3';
import type { Plan } from '../../core/sortplan/plan.ts';

/** What the evening needs of a plan. */
export interface PlanFacts {
  /** Weights outside are "not of this mob" and in no average; null where it says nothing of that. */
  mobRange: { fromKg: number; toKg: number } | null;
  /** Cuts between two lots, kg. */
  cutsKg: number[];
  /** Names of its lots. */
  lots: string[];
  /** Names of the lots that go for slaughter. */
  slaughter: string[];
}

/** Of a plan that was kept as JSON, whatever version wrote it; null: none was kept. */
export function planFacts(text: string | null): PlanFacts {
  const plan = text === null ? {} : (JSON.parse(text) as Partial<Pick<Plan, 'animals' | 'lots'>>);
  const lots = plan.lots ?? [];
  return {
    mobRange: plan.animals ?? null,
    cutsKg: lots.flatMap(({ belowKg }) => belowKg ?? []),
    lots: lots.map(({ name }) => name),
    slaughter: lots.filter(({ forSlaughter }) => forSlaughter === true).map(({ name }) => name),
  };
}

/** The same of a plan that crossings point at, by its hash; each is read once. */
export function planReader(db: Database.Database): (hash: string) => PlanFacts {
  const read = db.prepare('SELECT resolved FROM plan WHERE hash = ?').pluck();
  const known = new Map<string, PlanFacts>();
  return (hash) => {
    const facts = known.get(hash) ?? planFacts((read.get(hash) as string | undefined) ?? null);
    known.set(hash, facts);
    return facts;
  };
}
