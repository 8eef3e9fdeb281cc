/**
 * A simulated weigh head: force on the platform, through its spring and the head's filter, to
 * readings in whole divisions with a motion mark.
 */
import type { Random } from './random.ts';
import { exp } from '../src/core/normal.ts';

export interface WeighHeadOptions {
  divisionKg: number;
  rateHz: number;
  maxKg?: number;
  /** The head's own filter: mean of the last `averageMs`, then fading with `fadeMs`; 0 for none. */
  averageMs?: number;
  fadeMs?: number;
  /** Reading of the empty crate at the start, and its change in kg a minute (mud, warming). */
  zeroKg?: number;
  zeroDriftPerMinute?: number;
  /** Scatter that wind or an engine gives the readings, kg. */
  noiseKg?: number;
  /** Share of readings that never arrive. */
  lost?: number;
  /** Natural frequency of the platform, Hz; 0 for a stiff one. */
  resonanceHz?: number;
}

export interface HeadReading {
  kg: number | null;
  motion: boolean;
  status?: 'over' | 'under' | 'error';
}

export interface WeighHead {
  /** Called with whole, increasing ms; returns a reading whenever one is due. */
  sample: (t: number, forceKg: number) => HeadReading | null;
}

/** Creates a weigh head that starts with nothing on it. */
export function createWeighHead(random: Random, options: WeighHeadOptions): WeighHead {
  const platform = createPlatform(options.resonanceHz ?? 12);
  const average = createAverage(options.averageMs ?? 1000 / options.rateHz);
  const motion = createMotionMark(options.divisionKg, options.rateHz);
  const period = 1000 / options.rateHz;
  const phase = random.even() * period;
  let sent = 0;
  let faded = 0;
  let before: number | null = null;
  const sample = (t: number, forceKg: number): HeadReading | null => {
    const elapsed = before === null ? 1 : Math.max(1, t - before);
    before = t;
    const mean = average(t, platform(elapsed / 1000, forceKg), elapsed);
    const fadeMs = options.fadeMs ?? 0;
    faded = fadeMs > 0 ? mean + (faded - mean) * exp(-elapsed / fadeMs) : mean;
    if (t < phase + sent * period) return null;
    sent = Math.floor((t - phase) / period) + 1;
    const zero = (options.zeroKg ?? 0) + ((options.zeroDriftPerMinute ?? 0) * t) / 60_000;
    const shown = faded + zero + (options.noiseKg ?? 0) * random.normal();
    const reading = divide(shown, options);
    const moving = motion(reading.kg);
    return random.chance(options.lost ?? 0) ? null : { ...reading, motion: moving };
  };
  return { sample };
}

function divide(kg: number, options: WeighHeadOptions): Omit<HeadReading, 'motion'> {
  const d = options.divisionKg;
  const maxKg = options.maxKg ?? 200;
  if (kg > maxKg + 9 * d) return { kg: null, status: 'over' };
  if (kg < -20 * d - 0.2 * maxKg) return { kg: null, status: 'under' };
  // Division by a whole number where d is one over such: 415 / 10 is 41.5, 415 * 0.1 is not.
  const steps = Math.round(kg / d);
  const perKg = Math.round(1 / d);
  return { kg: (Math.abs(perKg * d - 1) < 1e-9 ? steps / perKg : steps * d) + 0 };
}

/** The platform on its load bars: a spring with a natural frequency, damped a tenth. */
function createPlatform(hertz: number): (seconds: number, kg: number) => number {
  if (hertz <= 0) return (_seconds, kg) => kg;
  const omega = 6.283185307179586 * hertz;
  let shown = 0;
  let speed = 0;
  return (seconds, kg) => {
    const parts = Math.ceil(seconds / 0.002);
    const dt = seconds / parts;
    for (let i = 0; i < parts; i += 1) {
      speed += (omega * omega * (kg - shown) - 2 * 0.2 * omega * speed) * dt;
      shown += speed * dt;
    }
    return shown;
  };
}

/** Mean over the last `spanMs`, each value weighted with how long it lasted. */
function createAverage(spanMs: number): (t: number, kg: number, elapsed: number) => number {
  const held: { from: number; to: number; kg: number }[] = [];
  return (t, kg, elapsed) => {
    held.push({ from: t - elapsed, to: t, kg });
    while ((held[0]?.to ?? t) <= t - spanMs && held.length > 1) held.shift();
    let sum = 0;
    let time = 0;
    for (const one of held) {
      const length = one.to - Math.max(one.from, t - spanMs);
      sum += one.kg * length;
      time += length;
    }
    return time > 0 ? sum / time : kg;
  };
}

/** The usual motion mark: the last second within one division. */
function createMotionMark(divisionKg: number, rateHz: number): (kg: number | null) => boolean {
  const length = Math.max(2, Math.round(rateHz));
  const last: (number | null)[] = [];
  return (kg) => {
    last.push(kg);
    if (last.length > length) last.shift();
    const numbers = last.filter((value): value is number => value !== null);
    if (numbers.length < length) return true;
    return Math.max(...numbers) - Math.min(...numbers) > divisionKg * 1.001;
  };
}
