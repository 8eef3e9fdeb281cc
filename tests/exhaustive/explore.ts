/** Explores breadth first to closure: every state that an alphabet of happenings can reach. */
import { keyOf } from './key.ts';
import { Model, nameOf, type CoreModule, type Node } from './model.ts';
import type { Slice } from './slices.ts';

export interface Explored {
  states: number;
  edges: number;
  seconds: number;
  /** Each distinct breach with the shortest way to it. */
  breaches: { text: string; way: string[] }[];
  /** False when the limit of states was reached, or the breach that was looked for was seen. */
  closed: boolean;
}

interface Limits {
  states: number;
  /** Stop at the first breach that begins so. */
  until?: string;
}

/** From which state, by which happening, each state was reached first. */
type Parents = { from: number; by: number }[];

export function explore(core: CoreModule, slice: Slice, limits: Limits): Explored {
  const began = process.cpuUsage();
  const model = new Model(core, slice.config, slice.honest, slice.phase);
  const first = model.begin(slice.on);
  const seen = new Set<string>([keyOf(first)]);
  const parents: Parents = [{ from: -1, by: -1 }];
  const breaches = new Map<string, string[]>();
  // The queue lets go of what it has given.
  const queue: (Node | null)[] = [first];
  let edges = 0;
  let stop = false;
  for (let id = 0; id < queue.length && !stop; id += 1) {
    const node = queue[id] ?? first;
    queue[id] = null;
    for (const [by, happening] of slice.happenings.entries()) {
      const taken = model.take(node, happening);
      edges += 1;
      for (const text of taken.breaches) {
        if (!breaches.has(text)) breaches.set(text, way(slice, parents, id, by));
        if (limits.until !== undefined && text.startsWith(limits.until)) stop = true;
      }
      const after = model.canonical(taken);
      const key = keyOf(after);
      if (seen.has(key)) continue;
      seen.add(key);
      parents.push({ from: id, by });
      queue.push(after);
    }
    if (seen.size >= limits.states) stop = true;
  }
  const { user } = process.cpuUsage(began);
  const found = [...breaches].map(([text, steps]) => ({ text, way: steps }));
  return { states: seen.size, edges, seconds: user / 1e6, breaches: found, closed: !stop };
}

function way(slice: Slice, parents: Parents, id: number, by: number): string[] {
  const steps = [by];
  for (let i = id; i > 0; i = parents[i]?.from ?? 0) steps.unshift(parents[i]?.by ?? -1);
  return steps.map((step) => {
    const happening = slice.happenings[step];
    return happening === undefined ? '' : nameOf(happening);
  });
}
