/**
 * A race that only this page plays, for practising without animals: invented weights, exits by the
 * plan's cuts, and now and then one that is not sure. Nothing of it is sent anywhere. Pure.
 */
import type { Layout, LiveNow, WeightState } from '../../adapters/page/messages.ts';
import type { Command, Exit, Mode } from '../../core/trace.ts';

type Phase = 'empty' | 'coming-on' | 'weighing' | 'asking' | 'moving' | 'ready' | 'leaving';

/** How long each lasts, ms; a call lasts until it is answered. */
const LASTS_MS: Record<Phase, number> = {
  empty: 1500,
  'coming-on': 800,
  weighing: 1000,
  asking: Infinity,
  moving: 900,
  ready: 2500,
  leaving: 1200,
};
const NEXT: Record<Phase, Phase> = {
  empty: 'coming-on',
  'coming-on': 'weighing',
  weighing: 'moving',
  asking: 'moving',
  moving: 'ready',
  ready: 'leaving',
  leaving: 'empty',
};
const SHOWN: Record<Phase, WeightState> = {
  empty: 'empty',
  'coming-on': 'coming-on',
  weighing: 'weighing',
  asking: 'not-sure',
  moving: 'good',
  ready: 'good',
  leaving: 'leaving',
};
/** One in so many is not sure. */
const UNSURE_EVERY = 4;

export interface Practice {
  mode: Mode;
  phase: Phase;
  sinceMs: number;
  animal: number;
  kg: number;
  exit: Exit | null;
  byHand: boolean;
  at: Exit | null;
  head: number[];
  last: LiveNow['last'];
  seed: number;
}

export function beginPractice(layout: Layout, seed: number): Practice {
  return {
    ...{ mode: 'stopped', phase: 'empty', sinceMs: 0, animal: 0, kg: 0, exit: null, seed },
    ...{ byHand: false, at: null, head: layout.lots.map(() => 0), last: [] },
  };
}

/** Some time passes. */
export function pass(layout: Layout, given: Practice, ms: number): Practice {
  if (given.mode !== 'running') return given;
  const sinceMs = given.sinceMs + ms;
  if (sinceMs < LASTS_MS[given.phase]) return { ...given, sinceMs };
  return enter(layout, { ...given, sinceMs: 0, phase: NEXT[given.phase] });
}

function enter(layout: Layout, now: Practice): Practice {
  if (now.phase === 'coming-on') {
    // A generator of 31 bits (Park and Miller, from memory) is random enough for practice.
    const seed = (now.seed * 48_271) % 2_147_483_647;
    const kg = Math.round(300 + (seed / 2_147_483_647) * 200) / 10;
    return { ...now, seed, kg, animal: now.animal + 1, exit: null, byHand: false };
  }
  if (now.phase === 'moving' && now.exit === null) {
    if (now.animal % UNSURE_EVERY === 0) return { ...now, phase: 'asking' };
    const lot = lotOf(layout, now.kg);
    return { ...now, exit: layout.lots[lot]?.exit ?? layout.exits[0]?.exit ?? null };
  }
  if (now.phase === 'ready') return { ...now, at: now.exit };
  return now.phase === 'leaving' ? counted(layout, now) : now;
}

/** First lot by weight that takes it. */
function lotOf({ lots }: Layout, kg: number): number {
  return lots.findIndex((lot) => !lot.aside && (lot.belowKg === null || kg < lot.belowKg));
}

function counted(layout: Layout, now: Practice): Practice {
  const byWeight = lotOf(layout, now.kg);
  const sent = layout.lots.findIndex((lot) => lot.exit === now.exit);
  const at = now.byHand ? sent : byWeight;
  const { animal, kg, exit } = now;
  const row = { animal, kg, lot: layout.lots[at]?.name ?? null, exit, unsure: false, saved: true };
  const head = now.head.map((count, lot) => (lot === at ? count + 1 : count));
  return { ...now, head, last: [row, ...now.last].slice(0, 4) };
}

/** What the person tells it; whatever needs a real race does nothing. */
export function told(given: Practice, command: Command): Practice {
  switch (command.do) {
    case 'start':
      return { ...given, mode: 'running' };
    case 'pause':
      return { ...given, mode: 'paused' };
    case 'stop':
      return { ...given, mode: 'stopped' };
    case 'exit': {
      const on = given.phase !== 'empty' && given.phase !== 'leaving';
      if (!on || (command.animal ?? given.animal) !== given.animal) return given;
      return { ...given, exit: command.exit, byHand: true, phase: 'moving', sinceMs: 0 };
    }
    default:
      return given;
  }
}

/** As the page shows it, in the place of the real race. */
export function shown(layout: Layout, real: LiveNow, now: Practice): LiveNow {
  const on = now.phase !== 'empty';
  const lot = lotOf(layout, now.kg);
  const decided = on && now.exit !== null;
  return {
    ...real,
    mode: now.mode,
    why: null,
    weight: {
      kg: on ? now.kg : 0,
      ageMs: 0,
      u95Kg: decided ? 0.15 : null,
      state: SHOWN[now.phase],
    },
    animal: on ? { number: now.animal, tag: null, marks: [], held: null } : null,
    decision: decided
      ? {
          ...{ lot: layout.lots[lot]?.name ?? null, exit: now.exit, spray: null },
          ...{ rule: now.byHand ? 'by-hand' : 'sure', reason: '' },
        }
      : null,
    letGo: now.phase === 'ready' ? now.exit : null,
    leaves: layout.leaves.map(({ name }) => leafAt(layout, name, now)),
    standsAt: now.phase === 'moving' ? null : now.at,
    ...{ waits: [], filling: [], tagsOff: false, head: now.head, last: now.last },
    ...{ faults: [], asks: now.phase === 'asking' ? ['unsure'] : [], refused: null },
  };
}

function leafAt(layout: Layout, name: string, now: Practice): LiveNow['leaves'][number] {
  const end = (exit: Exit | null) =>
    layout.exits.find((one) => one.exit === exit)?.ends[name] ?? null;
  const [from, to] = [end(now.at), end(now.exit)];
  const moving = now.phase === 'moving' && to !== null && from !== to;
  if (moving) {
    return { at: 'between', moving: to === 'extended' ? 'extend' : 'retract', assumed: false };
  }
  return { at: from ?? 'unknown', moving: null, assumed: false };
}
