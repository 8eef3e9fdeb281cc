/**
 * The simulated animal: how its load comes on to the platform, moves, and goes. All figures are
 * invented.
 */
import { createMotion } from './animal-motion.ts';
import type { Random } from './random.ts';

/** What an animal may do that is out of the ordinary. */
export type Scenario =
  | 'usual'
  /** Stops for a while with the front feet on. */
  | 'front-feet'
  /** Somebody leans on the crate, or lifts it, for a while. */
  | 'leaning'
  /** A second animal pushes on behind. */
  | 'double'
  /** Jumps. */
  | 'jump'
  /** Goes back the way it came. */
  | 'backs-out';

export interface AnimalOptions {
  trueKg: number;
  /** 0 stands like a rock, 1 is never still. */
  temperament: number;
  scenario: Scenario;
}

export interface Animal {
  /** Apparent load on the platform, kg; time since the first foot, going forward only. */
  loadKg: (msSinceStepOn: number) => number;
  /** All four feet on from here, ms since the first foot. */
  fullyOnMs: number;
  /** Share of the load still on the platform after it was let go, 1 to 0. */
  leavingKg: (msSinceLetGo: number) => number;
  /** Off the platform this long after being let go, ms. */
  goneMs: number;
  trueKg: number;
}

/** Smooth from 0 to 1. */
function ramp(share: number): number {
  const x = Math.min(1, Math.max(0, share));
  return x * x * (3 - 2 * x);
}

/** Creates an animal; everything about it follows from the random source and the options. */
export function createAnimal(random: Random, options: AnimalOptions): Animal {
  const { trueKg, scenario } = options;
  const motion = createMotion(random.branch(1), options.temperament);
  const on = comingOn(random, scenario);
  const extra = extraLoad(random, options, on.fullyOnMs);
  const goingMs = random.between(350, 900);
  const goneMs = goingMs + random.between(50, 250);
  return {
    trueKg,
    fullyOnMs: on.fullyOnMs,
    goneMs,
    loadKg: (ms) => {
      const share = on.share(ms);
      const moving = 1 + motion.at(ms / 1000) * (share < 1 ? 1.5 : 1);
      return Math.max(0, trueKg * share * moving) + extra(ms);
    },
    leavingKg: (ms) => {
      const front = 0.55 * ramp(ms / (0.5 * goingMs));
      return 1 - front - 0.45 * ramp((ms - 0.55 * goingMs) / (goneMs - 0.55 * goingMs));
    },
  };
}

/** The two steps of coming on: front feet, then hind feet. */
function comingOn(
  random: Random,
  scenario: Scenario,
): { share: (ms: number) => number; fullyOnMs: number } {
  const frontShare = random.between(0.5, 0.62);
  const frontMs = random.between(80, 250);
  const pauseMs = scenario === 'front-feet' ? random.between(700, 6000) : random.between(0, 250);
  const hindMs = random.between(100, 300);
  const hindFrom = frontMs + pauseMs;
  const fullyOnMs = Math.round(hindFrom + hindMs);
  const backFrom = scenario === 'backs-out' ? fullyOnMs + random.between(300, 3000) : Infinity;
  const share = (ms: number): number => {
    const coming =
      frontShare * ramp(ms / frontMs) + (1 - frontShare) * ramp((ms - hindFrom) / hindMs);
    return coming * (1 - ramp((ms - backFrom) / 600));
  };
  return { share, fullyOnMs };
}

/** Load that is not the animal's own weight: a person, another animal, a jump. */
function extraLoad(
  random: Random,
  options: AnimalOptions,
  fullyOnMs: number,
): (ms: number) => number {
  const from = fullyOnMs + random.between(200, 2500);
  const size = random.between(0.5, 1);
  if (options.scenario === 'leaning') {
    const kg = (random.chance(0.7) ? 1 : -1) * (2 + 10 * size);
    const to = from + random.between(800, 3000);
    return (ms) => kg * (ramp((ms - from) / 300) - ramp((ms - to) / 300));
  }
  if (options.scenario === 'double') {
    const kg = options.trueKg * size;
    return (ms) => kg * ramp((ms - from) / 350);
  }
  if (options.scenario === 'jump') return (ms) => jump(ms - from) * options.trueKg * size;
  return () => 0;
}

/** A jump: push off, flight, landing; relative to the weight, without net momentum. */
function jump(ms: number): number {
  if (ms < 0 || ms >= 650) return 0;
  if (ms < 200) return 1;
  if (ms < 450) return -1;
  if (ms < 550) return 1.2;
  return ms < 600 ? -1 : -0.4;
}
