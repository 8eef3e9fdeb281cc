/**
 * How the centre of mass of an animal on a platform moves. Invented parameters: the shape follows
 * from mechanics (force = weight x (1 + acceleration / g), height bounded), the figures do not come
 * from a measured flock.
 */
import { exp } from '../src/core/normal.ts';
import type { Random } from './random.ts';

const G = 9.81;
const STEP_S = 0.005;

/** One way of swinging: a damped spring that the animal's own pushes keep going. */
interface Swing {
  /** Radians a second, squared; damping ratio times two times radians a second. */
  stiffness: number;
  damping: number;
  /** Strength of the pushes, m/s2 per root second, at activity 1. */
  push: number;
  height: number;
  speed: number;
}

/** Relative acceleration a/g of the centre of mass, time going forward only. */
export interface Motion {
  at: (seconds: number) => number;
}

function swing(hertz: number, ratio: number, rmsAcceleration: number): Swing {
  const omega = 6.283185307179586 * hertz;
  // A pushed damped spring has an acceleration variance of push^2 omega (1 + 4 ratio^2) / (4 ratio)
  // without the push itself; near enough for invented strengths.
  const push = rmsAcceleration * Math.sqrt((4 * ratio) / omega);
  return { stiffness: omega * omega, damping: 2 * ratio * omega, push, height: 0, speed: 0 };
}

/**
 * @param temperament 0 (stands like a rock) to 1 (never still).
 */
export function createMotion(random: Random, temperament: number): Motion {
  const base = 0.0005 + 0.0018 * temperament * temperament;
  const swings = [
    swing(random.between(0.5, 1), 0.35, base * G),
    swing(random.between(1.4, 3), 0.25, 1.6 * base * G),
    swing(random.between(3.5, 6), 0.15, 0.5 * base * G),
  ];
  const activity = createActivity(random, temperament);
  let now = 0;
  let value = 0;
  const advance = (): void => {
    const level = activity(now);
    value = 0;
    for (const s of swings) {
      const kick = (s.push * level * random.normal()) / Math.sqrt(STEP_S);
      const acceleration = -s.stiffness * s.height - s.damping * s.speed + kick;
      s.speed += acceleration * STEP_S;
      s.height += s.speed * STEP_S;
      value += acceleration / G;
    }
    now += STEP_S;
  };
  return {
    at: (seconds) => {
      while (now < seconds) advance();
      return value;
    },
  };
}

/** Activity over time: calming after the step on, and bursts. */
function createActivity(random: Random, temperament: number): (seconds: number) => number {
  const excited = 1 + random.between(2, 14);
  const calming = random.between(0.4, 1.2);
  const burstsPerSecond = 0.04 + 0.2 * temperament;
  let burstFrom = random.wait(burstsPerSecond);
  let burstTo = burstFrom + random.between(0.3, 1.2);
  let burst = random.between(5, 20);
  return (seconds) => {
    if (seconds > burstTo) {
      burstFrom = seconds + random.wait(burstsPerSecond);
      burstTo = burstFrom + random.between(0.3, 1.2);
      burst = random.between(5, 20);
    }
    const bursting = seconds >= burstFrom ? burst : 1;
    return Math.max(bursting, 1 + (excited - 1) * exp(-seconds / calming));
  };
}
