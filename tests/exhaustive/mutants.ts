/**
 * Breaks one rule at a time in the core and explores until that rule's own check sees it:
 * `npx tsx tests/exhaustive/mutants.ts [RULE]` prints the table of `docs/interlock.md`.
 */
import { loadCore, type Mutation } from './compiled.ts';
import { explore, type Explored } from './explore.ts';
import { slices } from './slices.ts';

export interface Mutant extends Mutation {
  rule: number;
  /** What the core does instead. */
  what: string;
  gate: string;
  slice: string;
}

export const MUTANTS: Mutant[] = [
  {
    rule: 1,
    what: 'retract goes on with either direction',
    file: 'interlock/interlock.ts',
    from: "map[`${leaf.name}.retract`] = direction === 'retract';",
    to: 'map[`${leaf.name}.retract`] = direction !== null;',
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 2,
    what: 'no dead time',
    file: 'interlock/leaves.ts',
    from: 'return offAt !== null && t - offAt >= deadTimeMs;',
    to: 'return offAt !== null && t - offAt >= 0 * deadTimeMs;',
    gate: 'two-way',
    slice: 'holding',
  },
  {
    rule: 3,
    what: 'an open stop loop trips nothing',
    file: 'interlock/trips.ts',
    from: "if (!idle && contacts['stopLoop']?.raw === false) found",
    to: "if (!idle && contacts['stopLoop']?.raw === false && t < 0) found",
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 4,
    what: 'a start needs no look at the lane',
    file: 'interlock/lane.ts',
    from: 'if (signs.started',
    to: 'if (signs.started && t < 0',
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 4,
    what: 'nobody looks for an animal that no contact saw go',
    file: 'cycle/crossing.ts',
    from: 's.frontUnseen = work.request.unseen = true;',
    to: 's.frontUnseen = true;',
    gate: 'two-way',
    slice: 'sorting',
  },
  {
    rule: 5,
    what: 'an opening front trips nothing',
    file: 'interlock/trips.ts',
    from: "if (front?.raw === false) return [{ fault: 'let-out-early' }];",
    to: '',
    gate: 'two-way',
    slice: 'let out early',
  },
  {
    rule: 6,
    what: 'off one tick after the limit',
    file: 'interlock/leaves.ts',
    from: 'const limit = onMs + TICK_MS > leaf.maxOnMs;',
    to: 'const limit = onMs > leaf.maxOnMs;',
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 7,
    what: 'clearing starts again',
    file: 'cycle/mode.ts',
    from: "setMode(work, 'stopped', 'a person cleared the fault');",
    to: "work.request.started = true;\n  setMode(work, 'homing', 'a person cleared the fault');",
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 8,
    what: 'records that are not saved do not matter',
    file: 'interlock/permits.ts',
    from: "if (!state.supply.records) list.push('records');",
    to: '',
    gate: 'two-way',
    slice: 'records',
  },
  {
    rule: 9,
    what: 'keep-alive fed in a fault',
    file: 'interlock/interlock.ts',
    from: "const on = !s.tripped && request.mode !== 'stopped' && request.mode !== 'fault';",
    to: "const on = request.mode !== 'stopped';",
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 10,
    what: 'a press lasts 40 ms longer',
    file: 'interlock/hold.ts',
    from: 'const gone = next - hold.renewedAt > config.times.holdLifeMs;',
    to: 'const gone = next - hold.renewedAt > config.times.holdLifeMs + 40;',
    gate: 'two-way',
    slice: 'holding',
  },
  {
    rule: 11,
    what: 'a stroke ends a tick early',
    file: 'interlock/leaves.ts',
    from: 'const limit = onMs + TICK_MS > leaf.maxOnMs;',
    to: 'const limit = onMs + 2 * TICK_MS > leaf.maxOnMs;',
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 12,
    what: 'both ends made is no fault',
    file: 'interlock/leaves.ts',
    from: "return [{ fault: 'both-ends-made', detail }];",
    to: 'return [];',
    gate: 'three-way-switched',
    slice: 'switches',
  },
];

/** The first breach of the mutant's own rule, or null; and what else was seen until then. */
export async function hunt(mutant: Mutant): Promise<{ breach: string | null; found: Explored }> {
  const core = await loadCore(mutant);
  const slice = slices(mutant.gate).find((one) => one.name === mutant.slice);
  if (slice === undefined) throw new Error(`${mutant.gate} has no slice ${mutant.slice}`);
  const until = `${mutant.rule}: `;
  const found = explore(core, slice, { states: 6000, until });
  const breach = found.breaches.find(({ text }) => text.startsWith(until))?.text ?? null;
  return { breach, found };
}

if (process.argv[1] === import.meta.filename) {
  const only = process.argv.slice(2).map(Number);
  console.log('| rule | mutation | in | explored | caught by |\n| --- | --- | --- | --- | --- |');
  for (const mutant of MUTANTS.filter(({ rule }) => only.length === 0 || only.includes(rule))) {
    const { breach, found } = await hunt(mutant);
    const others = found.breaches.map(({ text }) => text).join('; ');
    const { rule, what, file, gate, slice } = mutant;
    const caught = breach ?? `NOT CAUGHT (seen: ${others})`;
    console.log(`| ${rule} | ${what} | ${file} | ${gate}, ${slice} | ${caught} |`);
  }
}
