/**
 * Breaks one rule at a time in a copy of the core and explores until the watcher sees it:
 * `npx tsx tests/exhaustive/mutants.ts [RULE]` prints a table. The copy is made beside node_modules so
 * that its imports resolve, and removed afterwards.
 */
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type * as Core from '../../src/core/step.ts';
import { explore } from './explore.ts';
import { alphabets, shortConfig, shortGate } from './profiles.ts';

interface Mutant {
  rule: number;
  file: string;
  from: string;
  to: string;
  gate: string;
  slice: string;
}

export const MUTANTS: Mutant[] = [
  {
    rule: 1,
    file: 'interlock/interlock.ts',
    from: "map[`${leaf.name}.retract`] = direction === 'retract';",
    to: 'map[`${leaf.name}.retract`] = direction !== null;',
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 2,
    file: 'interlock/leaves.ts',
    from: 'return offAt !== null && t - offAt >= deadTimeMs;',
    to: 'return offAt !== null && t - offAt >= 0 * deadTimeMs;',
    gate: 'two-way',
    slice: 'holding',
  },
  {
    rule: 3,
    file: 'interlock/trips.ts',
    from: "if (!idle && contacts['stopLoop']?.raw === false) found",
    to: "if (!idle && contacts['stopLoop']?.level === false && t < 0) found",
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 4,
    file: 'interlock/lane.ts',
    from: 'if (signs.started) lane.needsConfirm = true;',
    to: 'if (signs.started) lane.needsConfirm = false;',
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 5,
    file: 'interlock/trips.ts',
    from: "if (front?.raw === false) return [{ fault: 'let-out-early' }];",
    to: "if (front?.raw === null) return [{ fault: 'let-out-early' }];",
    gate: 'two-way',
    slice: 'sorting',
  },
  {
    rule: 6,
    file: 'interlock/leaves.ts',
    from: 'const limit = onMs + TICK_MS > leaf.maxOnMs;',
    to: 'const limit = onMs > leaf.maxOnMs;',
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 7,
    file: 'cycle/mode.ts',
    from: "setMode(work, 'stopped', 'a person stopped');",
    to: "setMode(work, 'paused', 'a person stopped');",
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 8,
    file: 'interlock/permits.ts',
    from: "if (!state.supply.records) list.push('records');",
    to: '',
    gate: 'two-way',
    slice: 'by hand',
  },
  {
    rule: 9,
    file: 'interlock/interlock.ts',
    from: "const on = !s.tripped && request.mode !== 'stopped' && request.mode !== 'fault';",
    to: "const on = request.mode !== 'stopped';",
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 10,
    file: 'interlock/hold.ts',
    from: 'const gone = next - hold.renewedAt > config.times.holdLifeMs;',
    to: 'const gone = next - hold.renewedAt > config.times.holdLifeMs + 40;',
    gate: 'two-way',
    slice: 'holding',
  },
  {
    rule: 11,
    file: 'interlock/leaves.ts',
    from: 'const limit = onMs + TICK_MS > leaf.maxOnMs;',
    to: 'const limit = onMs + 2 * TICK_MS > leaf.maxOnMs;',
    gate: 'two-way',
    slice: 'stopping',
  },
  {
    rule: 12,
    file: 'interlock/leaves.ts',
    from: "return [{ fault: 'both-ends-made', detail }];",
    to: 'return [];',
    gate: 'three-way-switched',
    slice: 'stopping',
  },
];

const SOURCE = join(import.meta.dirname, '..', '..', 'src', 'core');

/** The first breach that the watcher sees in the mutated core, or null when it sees none. */
export async function hunt(mutant: Mutant, states: number): Promise<string | null> {
  const folder = mkdtempSync(join(SOURCE, '..', '..', 'node_modules', '.mutant-'));
  try {
    const copy = join(folder, 'core');
    cpSync(SOURCE, copy, { recursive: true });
    const file = join(copy, mutant.file);
    const text = readFileSync(file, 'utf8');
    if (!text.includes(mutant.from))
      throw new Error(`${mutant.file}: no longer says ${mutant.from}`);
    writeFileSync(file, text.replace(mutant.from, mutant.to));
    const core = (await import(join(copy, 'step.ts'))) as typeof Core;
    const gate = shortGate(mutant.gate);
    const found = alphabets(gate).find((one) => one.alphabet.name === mutant.slice);
    if (found === undefined) throw new Error(`no alphabet ${mutant.slice}`);
    const config = shortConfig(gate, found.contacts);
    const explored = explore(core, config, found.alphabet, { states, stopAtBreach: true });
    return explored.breaches[0]?.text ?? null;
  } finally {
    rmSync(folder, { recursive: true });
  }
}

if (process.argv[1] === import.meta.filename) {
  const only = process.argv.slice(2).map(Number);
  console.log('| rule | in | instead | explored | caught by |\n| --- | --- | --- | --- | --- |');
  for (const mutant of MUTANTS.filter(({ rule }) => only.length === 0 || only.includes(rule))) {
    const breach = (await hunt(mutant, 20_000)) ?? 'NOT CAUGHT';
    const code = mutant.to === '' ? 'left out' : `\`${mutant.to.replaceAll('|', '\\|')}\``;
    const { rule, file, gate, slice } = mutant;
    console.log(`| ${rule} | ${file} | ${code} | ${gate}, ${slice} | ${breach} |`);
  }
}
