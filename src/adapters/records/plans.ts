/** The plans that decided, and the weights from before: their statements, rows and orders. */
import type Database from 'better-sqlite3';
import type { EarlierWeightRow, RowMessage, SessionPlan, Wall } from './messages.ts';

export function planStatements(db: Database.Database) {
  return {
    plan: db.prepare(`INSERT INTO plan (hash, name, resolved) VALUES (@hash, @name, @resolved)
      ON CONFLICT (hash) DO NOTHING`),
    sessionPlan: db.prepare(`INSERT INTO session_plan (session, plan, at_ms, clock_set)
      SELECT @n, n, @atMs, @clockSet FROM plan WHERE hash = @hash AND n IS NOT
        (SELECT plan FROM session_plan WHERE session = @n ORDER BY n DESC LIMIT 1)`),
    earlierWeight: db.prepare(`INSERT INTO earlier_weight (tag, day, farm, kg)
      VALUES (@tag, @day, coalesce(@farm, ''), @kg) ON CONFLICT (tag, day, farm) DO UPDATE SET kg = excluded.kg`),
  };
}

/**
 * From now on crossings of session number `n` are decided by this plan. One that is told again is
 * kept once, so that the last row of `session_plan` is the plan in force.
 */
export function takePlan(
  sql: ReturnType<typeof planStatements>,
  n: number,
  plan: SessionPlan,
  when: { atMs: number; clockSet: number },
): void {
  const { name, hash } = plan;
  sql.plan.run({ name, hash, resolved: JSON.stringify(plan.resolved) });
  sql.sessionPlan.run({ n, hash, ...when });
}

/** What the main thread orders of them. */
export function planOrders(row: (message: RowMessage) => void): {
  plan(session: string, plan: SessionPlan, wall: Wall): void;
  earlierWeights(weights: EarlierWeightRow[], wall: Wall): void;
} {
  return {
    plan: (session, plan, wall) => {
      row({ kind: 'plan', session, plan, wall });
    },
    earlierWeights: (weights, wall) => {
      row({ kind: 'earlier-weights', weights, wall });
    },
  };
}
