/** The whole campaign as a list of runs, each written down as soon as it is done. */
import { appendFileSync, existsSync, readFileSync } from 'node:fs';
import { profileNames } from '../../src/config/profiles.ts';
import type { Beams } from '../../simulator/bodies.ts';
import { faultsOf } from './faults.ts';
import { runHarm } from './run.ts';
import { harmSite } from './site.ts';
import type { Outcome } from './witness.ts';

export interface Task {
  gate: string;
  seed: number;
  animals: number;
  fault: string | null;
  beams: Beams;
  unseen: 'reaching' | 'jumping' | null;
}

export interface Done extends Task {
  outcome: Outcome;
}

/** Animals of one run without a fault. */
const MOB = 100;
/** Animals of a run with one: three before it, and as many as fit into the time after it. */
const FEW = 12;
export const GATES: string[] = profileNames('gate', null);

/** So many animals without a fault, over all shipped gates. */
export function withoutFault(animals: number): Task[] {
  const tasks: Task[] = [];
  for (let seed = 1; seed * MOB <= animals; seed += 1) {
    const gate = GATES[seed % GATES.length] ?? '';
    tasks.push({ gate, seed, animals: MOB, fault: null, beams: 'along', unseen: null });
  }
  return tasks;
}

/** What no fault is, and yet no contact sees, or not with these beams. */
export function unseen(animals: number): Task[] {
  const kinds = [
    { beams: 'end', unseen: null },
    { beams: 'none', unseen: null },
    { beams: 'along', unseen: 'reaching' },
    { beams: 'along', unseen: 'jumping' },
  ] as const;
  return kinds.flatMap((kind) =>
    withoutFault(animals).map((task) => ({ ...task, ...kind, seed: task.seed + 500_000 })),
  );
}

/** Every single fault of these gates, each so often. */
export function withFaults(gates: readonly string[], times: number): Task[] {
  return gates.flatMap((gate) => {
    const { config } = harmSite(gate, 'along');
    return faultsOf(config.gate, config.inputs).flatMap((fault) =>
      Array.from({ length: times }, (_, i): Task => {
        return { gate, seed: 1_000_000 + i, animals: FEW, fault, beams: 'along', unseen: null };
      }),
    );
  });
}

const nameOf = ({ gate, seed, fault, beams, unseen }: Task): string =>
  [gate, seed, fault, beams, unseen].join(' ');

export function readDone(file: string): Done[] {
  if (!existsSync(file)) return [];
  const lines = readFileSync(file, 'utf8').split('\n');
  // The last line may have been cut off.
  return lines.flatMap((line) => (line.endsWith('}') ? [JSON.parse(line) as Done] : []));
}

/** Runs what the file does not hold yet. */
export function runTasks(tasks: Task[], file: string): void {
  const done = new Set(readDone(file).map(nameOf));
  for (const task of tasks) {
    if (done.has(nameOf(task))) continue;
    const outcome = runHarm({ ...task, sparse: task.fault === null });
    appendFileSync(file, `${JSON.stringify({ ...task, outcome } satisfies Done)}\n`);
  }
}
