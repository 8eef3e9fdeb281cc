import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Event } from '../../src/core/trace.ts';
import { loadCore } from './compiled.ts';
import { keyOf } from './key.ts';
import { Model, type CoreModule, type Node, type Taken } from './model.ts';
import { GATES, slices, type Slice } from './slices.ts';

/** What the canonical form leaves out: words, which trip it was, calls, and the lamp's phase. */
function shown(event: Event): unknown {
  switch (event.kind) {
    case 'mode':
      return ['mode', event.mode];
    case 'decided':
      return ['decided', event.lot, event.exit, event.rule];
    case 'let-go':
      return ['let-go', event.crossing.exit];
    case 'ready':
      return ['ready', event.exit];
    case 'stroke':
      return event;
    case 'refused':
      return ['refused', event.command];
    default:
      return event.kind;
  }
}

function told({ node, outputs, events, breaches }: Taken): unknown {
  const levels = { ...outputs, letGoLamp: null, sounder: null };
  const { active } = node.core.faults;
  const { animal } = node.core.cycle;
  return {
    levels,
    breaches,
    ready: animal?.crossing === null && animal.readyAt !== null,
    tripped: node.core.interlock.tripped,
    recordsLost: active.some(({ fault }) => fault === 'records-not-saved'),
    events: events.filter(({ kind }) => kind !== 'call' && kind !== 'fault').map(shown),
  };
}

/** Keys are as different as the states that they stand for. */
class Keys {
  readonly #states = new Map<string, string>();
  readonly #keys = new Map<string, string>();

  check(node: Node): void {
    const [state, key] = [JSON.stringify(node), keyOf(node)];
    if ((this.#states.get(key) ?? state) !== state) expect(state).toBe(this.#states.get(key));
    if ((this.#keys.get(state) ?? key) !== key) expect(key).toBe(this.#keys.get(state));
    this.#states.set(key, state);
    this.#keys.set(state, key);
  }
}

function walkBoth(core: CoreModule, slice: Slice, choices: number[], keys: Keys): void {
  const model = new Model(core, slice.config, slice.honest, slice.phase);
  let untouched: Node = model.begin(slice.on);
  let canonical = untouched;
  let t = 0;
  for (const [i, choice] of choices.entries()) {
    // Every second choice is a tick: what needs time comes about.
    const happening =
      slice.happenings[choice % 2 === 0 ? 0 : (choice >> 1) % slice.happenings.length];
    if (happening === undefined) throw new Error('no happening');
    const plain = model.take(untouched, happening, t);
    const short = model.take(canonical, happening);
    const [one, other] = [told(short), told(plain)];
    if (JSON.stringify(one) !== JSON.stringify(other)) expect(one, `step ${i}`).toEqual(other);
    untouched = plain.node;
    t = plain.t;
    canonical = model.canonical(short);
    keys.check(canonical);
  }
}

describe('a state and its canonical form go on alike', () => {
  let core: CoreModule;
  beforeAll(async () => {
    core = await loadCore();
  });
  const choices = fc.array(fc.nat(), { minLength: 150, maxLength: 250 });

  for (const name of GATES) {
    it(name, { timeout: 120_000 }, () => {
      for (const slice of slices(name)) {
        const keys = new Keys();
        const walks = fc.property(choices, (list) => {
          walkBoth(core, slice, list, keys);
        });
        fc.assert(walks, { numRuns: 3, endOnFailure: true });
      }
    });
  }
});
