/** The crate while nothing is on it: scatter, swinging, steps, and where its zero goes. */
import { finding, type Finding } from './finding.ts';
import { mean, median, scatter, sum } from './statistics.ts';

export interface Weight {
  t: number;
  kg: number;
}

/** A run of readings of the empty crate between two loads. */
export type Stretch = readonly Weight[];

/** After a load has gone and before the next is seen a reading is not of the empty crate, ms. */
const AFTER_MS = 500;
const BEFORE_MS = 300;
/** Readings of a stretch that says something. */
const LEAST = 6;

/**
 * The stretches in which the crate is empty.
 * @param emptyKg readings within this of nought may be of the empty crate.
 */
export function emptyStretches(readings: readonly Weight[], emptyKg: number): Stretch[] {
  const list: Stretch[] = [];
  let run: Weight[] = [];
  let loadedT = -Infinity;
  const end = (nextT: number): void => {
    const kept = run.filter(({ t }) => t <= nextT - BEFORE_MS);
    if (kept.length >= LEAST) list.push(kept);
    run = [];
  };
  for (const reading of readings) {
    const { t, kg } = reading;
    if (Math.abs(kg) >= emptyKg) {
      end(t);
      loadedT = t;
    } else if (t - loadedT >= AFTER_MS) run.push(reading);
  }
  end(Infinity);
  return list;
}

/** Scatter of an empty crate beyond this is worth a look, kg (common practice, no source). */
export function quietKg(divisionKg: number): number {
  return 2 * divisionKg;
}

/** A change of this size is more than rounding, kg. */
function stepKg(divisionKg: number): number {
  return Math.max(3 * divisionKg, 0.3);
}

/** Everything that the empty crate shows. */
export function judgeEmpty(stretches: readonly Stretch[], divisionKg: number): Finding[] {
  const split = stretches.map((stretch) => splitAtSteps(stretch, divisionKg));
  const pieces = split.flatMap(({ pieces: own }) => own);
  const steps = split.flatMap(({ steps: own }) => own);
  const still = scatterOf(pieces, divisionKg);
  return [...still, ...stepsOf(steps), ...(still.length > 0 ? [] : zeroOf(stretches, divisionKg))];
}

/** Readings before and behind a step that must agree with each other. */
const WINDOW = 4;

/** Cuts a stretch where its reading steps and stays; the reading in mid-step belongs to neither side. */
function splitAtSteps(
  stretch: Stretch,
  divisionKg: number,
): { pieces: Stretch[]; steps: number[] } {
  const pieces: Stretch[] = [];
  const steps: number[] = [];
  let from = 0;
  for (let i = WINDOW; i + 1 + WINDOW <= stretch.length; i += 1) {
    if (i - WINDOW < from) continue;
    const before = stretch.slice(i - WINDOW, i).map(({ kg }) => kg);
    const after = stretch.slice(i + 1, i + 1 + WINDOW).map(({ kg }) => kg);
    const step = mean(after) - mean(before);
    const quiet = Math.max(scatter(before), scatter(after));
    if (Math.abs(step) < Math.max(stepKg(divisionKg), 5 * quiet)) continue;
    steps.push(step);
    pieces.push(stretch.slice(from, i));
    from = i + 1;
  }
  pieces.push(stretch.slice(from));
  return { pieces, steps };
}

function stepsOf(steps: readonly number[]): Finding[] {
  if (steps.length < 2) return [];
  const size = median(steps.map((step) => Math.abs(step)));
  const said = `${steps.length} steps, of ${size.toFixed(2)} kg in the middle`;
  return [finding('empty-touched', null, size, 'kg', said)];
}

function scatterOf(pieces: readonly Stretch[], divisionKg: number): Finding[] {
  const whole = pieces.filter((piece) => piece.length >= LEAST);
  if (whole.length === 0) return [];
  const kg = median(whole.map((piece) => scatter(piece.map((reading) => reading.kg))));
  const limit = quietKg(divisionKg);
  if (kg <= limit) return [];
  const hertz = swingOf(whole);
  const beside = `${kg.toFixed(2)} kg, where ${limit.toFixed(2)} kg is quiet`;
  if (hertz === null) return [finding('empty-noisy', null, kg, 'kg', `scatter ${beside}`)];
  const said = `swings ${hertz.toFixed(1)} times a second, scatter ${beside}`;
  return [finding('platform-swings', null, kg, 'kg', said)];
}

/** The correlation of readings this many places apart that counts as coming round again. */
const ROUND = 0.4;
const AGAINST = -0.25;

/**
 * How often a second the reading comes round, by its autocorrelation over all stretches: it must first
 * turn against itself and then come back. Null where it does not.
 */
function swingOf(pieces: readonly Stretch[]): number | null {
  const long = pieces.filter((piece) => piece.length >= 10);
  const intervals = long.flatMap((piece) =>
    piece.slice(1).map(({ t }, i) => t - (piece[i]?.t ?? t)),
  );
  let against = false;
  for (let lag = 1; lag <= 20; lag += 1) {
    const r = correlation(long, lag);
    if (r === null) return null;
    if (r < AGAINST) against = true;
    const next = correlation(long, lag + 1) ?? -1;
    if (against && r > ROUND && r >= next) return 1000 / (lag * mean(intervals));
  }
  return null;
}

function correlation(pieces: readonly Stretch[], lag: number): number | null {
  let [product, square, pairs, all] = [0, 0, 0, 0];
  for (const piece of pieces) {
    const middle = mean(piece.map(({ kg }) => kg));
    const off = piece.map(({ kg }) => kg - middle);
    for (const [i, x] of off.entries()) {
      square += x * x;
      all += 1;
      const y = off[i + lag];
      if (y === undefined) continue;
      product += x * y;
      pairs += 1;
    }
  }
  return pairs < 10 || square === 0 ? null : product / pairs / (square / all);
}

/** Where the zero of one empty stretch lies against the one before: to and fro, or ever one way. */
function zeroOf(stretches: readonly Stretch[], divisionKg: number): Finding[] {
  const levels = stretches.map((stretch) => mean(stretch.map(({ kg }) => kg)));
  const changes = levels.slice(1).map((level, i) => level - (levels[i] ?? level));
  if (changes.length < 3) return [];
  const total = sum(changes);
  const way = sum(changes.map((change) => Math.abs(change)));
  const limit = stepKg(divisionKg);
  const usual = median(changes.map((change) => Math.abs(change)));
  const climbed = Math.max(5 * divisionKg, 0.5);
  if (Math.abs(total) > climbed && Math.abs(total) > 0.7 * way) {
    const said = `${signed(total)} kg over ${changes.length} animals`;
    return [finding('zero-climbs', null, total, 'kg', said)];
  }
  if (usual < limit || Math.abs(total) > 0.6 * way) return [];
  const said = `${usual.toFixed(2)} kg from animal to animal, to and fro`;
  return [finding('zero-wanders', null, usual, 'kg', said)];
}

function signed(kg: number): string {
  return `${kg < 0 ? '−' : '+'}${Math.abs(kg).toFixed(2)}`;
}
