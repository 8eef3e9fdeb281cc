/**
 * Animals of the simulator that do what they should not, through the real step: each trouble is
 * named and the animal is not sure, unless the trouble clears before it is let go.
 */
import { describe, expect, it } from 'vitest';
import { createAnimal, type Animal, type Scenario } from '../../simulator/animal.ts';
import { createRandom } from '../../simulator/random.ts';
import {
  createWeighHead,
  type WeighHead,
  type WeighHeadOptions,
} from '../../simulator/weigh-head.ts';
import { defaultConfig } from '../../src/config/defaults.ts';
import { initial, step, type Config, type Stepped } from '../../src/core/step.ts';
import { TICK_MS, type Event, type Input } from '../../src/core/trace.ts';
import type { Oddity } from '../../src/core/weighing/result.ts';

const TAG = '999000000001337';
const FREE = { held: false, list: null, lastKg: null, lastDays: null };

/** A crate with a weigh head whose line the test may spoil. */
class Crate {
  t = 0;
  stepped: Stepped;
  load: (t: number) => number = () => 0;
  /** What arrives in place of a reading; nothing where it gives an empty list. */
  line: (input: Input & { kg: number | null }) => Input[] = (input) => [input];
  readonly config: Config;
  readonly events: Event[] = [];
  readonly named = new Set<Oddity>();
  readonly head: WeighHead;

  constructor(change: (config: Config) => Config = (c) => c, head: Partial<WeighHeadOptions> = {}) {
    const scale = { divisionKg: head.divisionKg ?? 0.1, rateHz: head.rateHz ?? 10 };
    const inputs = ['frontShut', 'stopLoop'];
    this.config = change(structuredClone(defaultConfig({ scale, inputs })));
    this.head = createWeighHead(createRandom(3), { noiseKg: 0.02, ...scale, ...head });
    const state = initial(this.config);
    this.stepped = step(this.config, state, { t: 0, input: 'frontShut', on: true });
    this.give({ t: 0, input: 'stopLoop', on: true });
    this.for(2500).give({ t: this.t, command: { do: 'start' } });
    this.give({ t: this.t, command: { do: 'confirm' } });
    this.for(3000);
  }

  give(input: Input): void {
    this.stepped = step(this.config, this.stepped.state, input);
    this.events.push(...this.stepped.events);
    for (const one of this.stepped.weighing.oddities) this.named.add(one);
  }

  for(ms: number): this {
    for (const end = this.t + ms; this.t < end; this.t += TICK_MS) {
      for (let at = this.t - TICK_MS + 5; at <= this.t; at += 5) {
        const reading = at < 0 ? null : this.head.sample(at, this.load(at));
        if (reading === null) continue;
        for (const input of this.line({ t: this.t, ...reading })) this.give(input);
      }
      this.give({ t: this.t, tick: true });
    }
    return this;
  }

  /** A lamb comes on; what else is on the crate is added to its force. */
  comes(animal: Animal, extra: (ms: number) => number = () => 0): this {
    const from = this.t;
    this.load = (t) => animal.loadKg(t - from) + extra(t - from);
    return this;
  }

  /** The front opens, the lamb goes, the front is shut, and the lane is seen clear. */
  goes(animal: Animal): this {
    const on = this.load;
    const from = this.t;
    this.give({ t: this.t, input: 'frontShut', on: false });
    this.load = (t) => on(t) * animal.leavingKg(t - from);
    this.for(animal.goneMs + 300);
    this.load = () => 0;
    this.give({ t: this.t, input: 'frontShut', on: true });
    this.for(1500).give({ t: this.t, command: { do: 'confirm' } });
    return this.for(500);
  }

  /** Quiet lambs, so that the flock is known. */
  knows(weights: readonly number[] = [38, 42, 41, 39, 43, 40]): this {
    weights.forEach((kg, i) => {
      const animal = lamb('usual', kg, 50 + i);
      this.comes(animal)
        .for(animal.fullyOnMs + 3500)
        .goes(animal);
    });
    this.named.clear();
    this.events.length = 0;
    return this;
  }

  ready(): boolean {
    return (this.stepped.state.cycle.animal?.readyAt ?? null) !== null;
  }

  odd(): Oddity[] {
    return this.stepped.weighing.oddities;
  }

  rule(): string | null {
    return this.stepped.state.cycle.animal?.decision?.rule ?? null;
  }

  called(): string[] {
    return this.events.flatMap((e) => (e.kind === 'unsure' ? [e.reason] : []));
  }

  kg(): number {
    return this.stepped.weighing.estimate?.kg ?? NaN;
  }
}

function lamb(scenario: Scenario, trueKg: number, seed: number, temperament = 0.3): Animal {
  return createAnimal(createRandom(seed), { trueKg, temperament, scenario });
}

/** From 0 to 1 within 0.3 s from then on. */
const after = (ms: number, from: number): number => Math.min(1, Math.max(0, (ms - from) / 300));

describe('an animal that does nothing odd', () => {
  it('is decided and let go with nothing named', () => {
    const crate = new Crate().knows();
    crate.comes(lamb('usual', 42.4, 1)).for(5000);
    expect([...crate.named]).toEqual([]);
    expect(crate.ready()).toBe(true);
    expect(Math.abs(crate.kg() - 42.4)).toBeLessThan(0.2);
  });
});

describe('two animals', () => {
  it('a second step on a weight that stood is named, even where the sum looks possible', () => {
    const crate = new Crate().knows([24, 26, 25, 23, 27, 25]);
    crate.comes(lamb('usual', 25, 2), (ms) => 24 * after(ms, 3000)).for(2500);
    expect(crate.ready()).toBe(true);
    crate.for(4000);
    expect(crate.odd()).toContain('two-animals');
    expect(crate.ready()).toBe(false);
    expect(crate.called().join()).toContain('two animals are on');
  });

  it('two tags make it not sure although the weight is good', () => {
    const tags = { lists: [], withdrawal: { lot: 'Stores' }, unread: 'hold' as const };
    const crate = new Crate((c) => ({ ...c, plan: { ...c.plan, tags } }));
    crate.comes(lamb('usual', 42.4, 3)).for(1500);
    crate.give({ t: crate.t, tag: TAG, known: FREE });
    crate.for(300).give({ t: crate.t, tag: '999000000001338', known: FREE });
    crate.for(5000);
    expect(crate.called().join()).toContain('two tags were read');
    expect(crate.ready()).toBe(false);
  });
});

describe('overload', () => {
  it('of a landing is named, and the weight is good again after it', () => {
    const crate = new Crate((c) => ({ ...c, scale: { ...c.scale, maxKg: 60 } }), { maxKg: 60 });
    crate.knows();
    crate.comes(lamb('jump', 42.4, 4)).for(6500);
    expect(crate.named).toContain('overload');
    expect(crate.odd()).toEqual([]);
    expect(crate.ready()).toBe(true);
    expect(Math.abs(crate.kg() - 42.4)).toBeLessThan(0.5);
  });

  it('that lasts is not sure', () => {
    const crate = new Crate((c) => ({ ...c, scale: { ...c.scale, maxKg: 60 } }), { maxKg: 60 });
    crate.comes(lamb('usual', 75, 5)).for(6500);
    expect(crate.odd()).toContain('overload');
    expect(crate.ready()).toBe(false);
    expect(crate.called().join()).toContain('overloaded');
  });
});

describe('somebody at the crate', () => {
  it.each([
    ['leans on', 7],
    ['lifts', -7],
  ])('%s it: named while it lasts, the weight left alone, and cleared after', (_how, kg) => {
    const crate = new Crate().knows();
    const hand = (ms: number): number => kg * (after(ms, 2500) - after(ms, 5500));
    crate.comes(lamb('usual', 42.4, 6), hand).for(5000);
    expect(crate.odd()).toContain('leaning');
    expect(crate.ready()).toBe(false);
    expect(Math.abs(crate.kg() - 42.4)).toBeLessThan(0.5);
    crate.for(3000);
    expect(crate.odd()).toEqual([]);
    expect(crate.ready()).toBe(true);
  });

  it('a clamp that closes is not leaning', () => {
    const clamp = (c: Config): Config => ({ ...c, crate: { ...c.crate, kind: 'clamp' } });
    const crate = new Crate(clamp).knows();
    crate.comes(lamb('usual', 42.4, 7), (ms) => 5 * after(ms, 2500)).for(7000);
    expect(crate.named).not.toContain('leaning');
  });
});

describe('an animal that is not there as a whole', () => {
  it('backs out: not counted, and the next one is number one', () => {
    const crate = new Crate();
    crate.comes(lamb('backs-out', 42.4, 8)).for(9000);
    expect(crate.events.map((e) => e.kind)).toContain('backed-out');
    expect(crate.stepped.state.cycle.animal).toBeNull();
    expect(crate.events.some((e) => e.kind === 'let-go')).toBe(false);
    const next = lamb('usual', 42.4, 9);
    crate.comes(next).for(5000).goes(next);
    const gone = crate.events.flatMap((e) => (e.kind === 'let-go' ? [e.crossing] : []));
    expect(gone).toHaveLength(1);
  });

  it('stops with its front feet on: named, not let go meanwhile, good when the rest has come', () => {
    const crate = new Crate().knows();
    for (const seed of [20, 21, 22, 23, 24]) {
      crate.named.clear();
      const slow = lamb('front-feet', 42.4, seed);
      crate.comes(slow);
      for (let ms = 0; ms + TICK_MS < slow.fullyOnMs; ms += TICK_MS) {
        crate.for(TICK_MS);
        expect(crate.ready()).toBe(false);
      }
      if (slow.fullyOnMs > 2000) expect(crate.named).toContain('front-feet-only');
      crate.for(3500);
      expect(crate.odd()).toEqual([]);
      expect(crate.ready()).toBe(true);
      expect(Math.abs(crate.kg() - 42.4)).toBeLessThan(0.5);
      crate.goes(slow);
    }
  });
});

describe('the weigh head', () => {
  it('an empty reading that drifts past what may be tracked is named until it is zeroed', () => {
    const crate = new Crate(undefined, { zeroDriftPerMinute: 12 });
    crate.for(30_000);
    expect(crate.odd()).toContain('empty-drifting');
    crate.comes(lamb('usual', 42.4, 11)).for(6500);
    expect(crate.ready()).toBe(false);
    expect(crate.called().join()).toContain('the empty crate drifts');
  });

  it('stuck is named where this flock moves a reading by more than a division', () => {
    const crate = new Crate().knows();
    const stuck = (input: Input & { kg: number | null }): Input[] => [
      { ...input, kg: input.kg === null || input.kg < 30 ? input.kg : 42.4 },
    ];
    crate.line = stuck;
    crate.comes(lamb('usual', 42.4, 12)).for(9000);
    expect(crate.odd()).toContain('stuck');
    expect(crate.ready()).toBe(false);
  });

  it('is not stuck with a division coarser than the movement', () => {
    const crate = new Crate(undefined, { divisionKg: 1, noiseKg: 0 });
    crate.knows();
    crate.comes(lamb('usual', 42.4, 13, 0)).for(9000);
    expect(crate.named).not.toContain('stuck');
  });

  it('changes its unit: named and not sure', () => {
    const crate = new Crate((c) => ({
      ...c,
      plan: { ...c.plan, animals: { fromKg: 5, toKg: 150 } },
    }));
    crate.knows();
    crate.comes(lamb('usual', 42.4, 14, 0)).for(2500);
    crate.line = (input) => [{ ...input, kg: input.kg === null ? null : input.kg / 0.45359237 }];
    crate.for(4000);
    expect(crate.named).toContain('unit-changed');
    expect(crate.ready()).toBe(false);
  });

  it('readings that stay away are named and take the signal back; they clear when they come', () => {
    const crate = new Crate().knows();
    crate.comes(lamb('usual', 42.4, 15)).for(4000);
    expect(crate.ready()).toBe(true);
    crate.line = () => [];
    crate.for(2000);
    expect(crate.odd()).toContain('readings-late');
    expect(crate.ready()).toBe(false);
    crate.line = (input) => [input];
    crate.for(3000);
    expect(crate.odd()).toEqual([]);
    expect(crate.ready()).toBe(true);
  });

  it('is negative: named, and no animal', () => {
    const crate = new Crate();
    crate.line = (input) => [{ ...input, kg: -4 }];
    crate.for(2000);
    expect(crate.odd()).toContain('negative');
    expect(crate.stepped.state.cycle.animal).toBeNull();
  });

  it('an animal outside the plan is not of this mob: not sure, with the reason', () => {
    const crate = new Crate();
    crate.comes(lamb('usual', 75, 16)).for(7000);
    expect(crate.ready()).toBe(false);
    expect(crate.called().join()).toMatch(/mob/);
  });
});

describe('the clock', () => {
  it('readings with an older time than the one before: named, and cleared by the next in order', () => {
    const crate = new Crate().knows();
    crate.comes(lamb('usual', 42.4, 17)).for(4000);
    const late = { t: crate.t - 300, kg: 42.4 };
    crate.give(late);
    expect(crate.odd()).toContain('readings-late');
    crate.for(1500);
    expect(crate.odd()).toEqual([]);
    expect(crate.ready()).toBe(true);
  });

  it('time that jumps by a minute decides nothing by itself: not fresh, then good again', () => {
    const crate = new Crate().knows();
    crate.comes(lamb('usual', 42.4, 18)).for(4000);
    const at = crate.t;
    crate.give({ t: at + 60_000, tick: true });
    expect(crate.odd()).toContain('readings-late');
    expect(crate.ready()).toBe(false);
  });
});
