import fc from 'fast-check';
import { expect, it } from 'vitest';
import { rebase } from '../../src/core/rebase.ts';
import { step } from '../../src/core/step.ts';
import { configWith, Script } from './script.ts';

function day(): Script {
  const s = new Script(configWith(['frontShut', 'stopLoop'])).begin();
  s.weigh(36).wait(3000).letGo().weigh(50).wait(600).say({ do: 'hold', output: 'leafA.retract' });
  return s.wait(300).say({ do: 'start' }).say({ do: 'confirm' }).wait(1500);
}

it('after any number of inputs a state told from a later origin, and read back as JSON, goes on alike', () => {
  const { inputs, config } = day();
  fc.assert(
    fc.property(fc.integer({ min: 1, max: inputs.length - 1 }), fc.nat(500), (at, ticks) => {
      let state = new Script(config).state;
      for (const input of inputs.slice(1, at)) state = step(config, state, input).state;
      const by = ticks * 20;
      let moved = rebase(JSON.parse(JSON.stringify(state)) as typeof state, by);
      for (const input of inputs.slice(at, at + 120)) {
        const one = step(config, state, input);
        const other = step(config, moved, { ...input, t: input.t - by });
        expect(JSON.stringify(other.outputs)).toBe(JSON.stringify(one.outputs));
        ({ state } = one);
        moved = other.state;
      }
      expect(JSON.stringify(moved)).toBe(JSON.stringify(rebase(state, by)));
    }),
    { numRuns: 25 },
  );
});
