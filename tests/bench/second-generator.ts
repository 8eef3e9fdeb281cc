/**
 * A second generator of movement, for checking the weighing against something it was not made
 * with: no code and no model in common with the simulator. Force is put together from feet that
 * land one by one, shifts of weight that come as pulses, breathing, and a slow touching of the
 * sides; the head fades instead of averaging. All figures are invented.
 */

export interface Readings {
  trueKg: number;
  /** First foot, all four on, let go, ms from the first reading. */
  onAt: number;
  fullyOnAt: number;
  letGoAt: number;
  readings: { t: number; kg: number; motion: boolean }[];
}

export type Scenario = 'calm' | 'mixed' | 'lively' | 'front-feet';

/** Lehmer's multiplicative generator modulo 2^31 - 1 (Park and Miller 1988). */
export class Dice {
  private state: number;
  constructor(seed: number) {
    this.state = ((seed * 7919 + 12345) % 2147483646) + 1;
    for (let i = 0; i < 10; i += 1) this.roll();
  }
  roll(): number {
    this.state = (this.state * 48271) % 2147483647;
    return this.state / 2147483647;
  }
  range(low: number, high: number): number {
    return low + (high - low) * this.roll();
  }
  gauss(): number {
    return Math.sqrt(-2 * Math.log(this.roll())) * Math.cos(2 * Math.PI * this.roll());
  }
}

/** A shift of weight: a dip and its rebound of the same area, so that no momentum is left. */
interface Shift {
  from: number;
  first: number;
  second: number;
  size: number;
}

function shiftsOf(dice: Dice, liveliness: number, lengthS: number): Shift[] {
  const shifts: Shift[] = [];
  let t = dice.range(-0.2, 0.3);
  while (t < lengthS) {
    const size = 0.02 * liveliness * Math.exp(0.9 * dice.gauss()) * (1 + 6 * Math.exp(-t / 0.9));
    const sign = dice.roll() < 0.5 ? -1 : 1;
    shifts.push({
      from: t,
      first: dice.range(0.08, 0.35),
      second: dice.range(0.08, 0.35),
      size: sign * size,
    });
    t += -Math.log(dice.roll()) / (0.5 + 1.6 * liveliness);
  }
  return shifts;
}

function pulse(shift: Shift, t: number): number {
  const x = t - shift.from;
  if (x <= 0 || x >= shift.first + shift.second) return 0;
  if (x < shift.first) return shift.size * Math.sin((Math.PI * x) / shift.first);
  const back = (shift.size * shift.first) / shift.second;
  return -back * Math.sin((Math.PI * (x - shift.first)) / shift.second);
}

interface Foot {
  from: number;
  takes: number;
  share: number;
}

function feetOf(dice: Dice, scenario: Scenario): Foot[] {
  const front = dice.range(0.5, 0.64);
  const split = dice.range(0.4, 0.6);
  const pause =
    scenario === 'front-feet'
      ? 0.6 + Math.min(7, -2.2 * Math.log(dice.roll()))
      : dice.range(0.05, 0.5);
  const secondFront = dice.range(0.05, 0.35);
  const third = secondFront + pause;
  const fourth = third + dice.range(0.08, 0.35);
  const takes = (): number => dice.range(0.06, 0.18);
  return [
    { from: 0, takes: takes(), share: front * split },
    { from: secondFront, takes: takes(), share: front * (1 - split) },
    { from: third, takes: takes(), share: (1 - front) * (1 - split) },
    { from: fourth, takes: takes(), share: (1 - front) * split },
  ];
}

/** Ahead of the whole weight each foot that lands pushes a little too hard. */
function landed(foot: Foot, t: number): number {
  const x = (t - foot.from) / foot.takes;
  if (x <= 0) return 0;
  if (x < 1) return foot.share * Math.sin((Math.PI / 2) * x);
  return foot.share * (1 + 0.1 * Math.sin(Math.PI * Math.min(1, x - 1)));
}

export interface SecondOptions {
  scenario: Scenario;
  seed: number;
  trueKg: number;
  divisionKg?: number;
  rateHz?: number;
  fadeMs?: number;
}

/** One animal's readings, from 1.5 s before its first foot to just before it is let go. */
export function secondAnimal(options: SecondOptions): Readings {
  const dice = new Dice(options.seed);
  const d = options.divisionKg ?? 0.1;
  const periodS = 1 / (options.rateHz ?? 10);
  const levels = {
    calm: [0.05, 0.3],
    mixed: [0.05, 1],
    lively: [0.7, 1.3],
    'front-feet': [0.05, 1],
  };
  const [low = 0, high = 1] = levels[options.scenario];
  const liveliness = dice.range(low, high);
  const feet = feetOf(dice, options.scenario);
  const last = feet[3] as Foot;
  const fullyOn = last.from + last.takes;
  const letGo = fullyOn + dice.range(5.5, 8);
  const shifts = shiftsOf(dice, liveliness, letGo);
  const breath = {
    hertz: dice.range(0.4, 1.1),
    size: dice.range(0.0005, 0.003),
    phase: dice.roll(),
  };
  const tremble = {
    hertz: dice.range(3, 9),
    size: 0.006 * liveliness * dice.roll(),
    phase: dice.roll(),
  };
  const rest = { sides: 0, shown: 0 };
  const readings: Readings['readings'] = [];
  const zero = dice.range(-0.5, 0.5) * d;
  const recent: number[] = [];
  const dt = 0.005;
  let due = -1.5 + dice.roll() * periodS;
  for (let t = -1.5; t < letGo; t += dt) {
    const share = feet.reduce((sum, foot) => sum + landed(foot, t), 0);
    const wobble =
      shifts.reduce((sum, shift) => sum + pulse(shift, t), 0) +
      breath.size * Math.sin(2 * Math.PI * (breath.hertz * t + breath.phase)) +
      tremble.size * Math.sin(2 * Math.PI * (tremble.hertz * t + tremble.phase));
    rest.sides +=
      -rest.sides * (dt / 1.5) + 0.0005 * liveliness * Math.sqrt((2 * dt) / 1.5) * dice.gauss();
    const force = options.trueKg * share * Math.max(0, 1 + wobble + rest.sides);
    const fade = (options.fadeMs ?? 60) / 1000;
    rest.shown += (force - rest.shown) * (1 - Math.exp(-dt / fade));
    if (t < due) continue;
    due += periodS;
    const kg = Math.round((rest.shown + zero + 0.01 * dice.gauss()) / d) * d + 0;
    recent.push(kg);
    if (recent.length > 10) recent.shift();
    const motion = recent.length < 10 || Math.max(...recent) - Math.min(...recent) > d * 1.001;
    readings.push({ t: Math.round((t + 1.5) * 1000), kg: Number(kg.toFixed(3)), motion });
  }
  const ms = (s: number): number => Math.round((s + 1.5) * 1000);
  return {
    trueKg: options.trueKg,
    onAt: ms(0),
    fullyOnAt: ms(fullyOn),
    letGoAt: ms(letGo),
    readings,
  };
}
