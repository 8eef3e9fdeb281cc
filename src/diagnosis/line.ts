/** The line to the weigh head: rate, readings that are missing, silence, and bytes that are no frame. */
import { finding, type Finding } from './finding.ts';
import type { Seen } from './seen.ts';
import { mean, median, sum } from './statistics.ts';

/** What the raw bytes of a trace come to. */
export interface BytesCount {
  /** Whole frames. */
  frames: number;
  /** Stretches of bytes that were no whole frame. */
  noise: number;
}

/** A share of missing or garbled frames beyond this is worth a look, per cent (no source). */
const LOST_PERCENT = 2;
const GARBLED_PERCENT = 1;
/** A measured rate this far from the site's is another rate. */
const RATE_OFF = 0.3;
const LEAST_READINGS = 20;

export function judgeLine(seen: Seen, bytes: BytesCount | null): Finding[] {
  const { readings, rateHz } = seen;
  const silent = silence(seen);
  if (readings.length < LEAST_READINGS) return silent;
  const steps = readings.slice(1).map(({ t }, i) => t - (readings[i]?.t ?? t));
  const measured = 1000 / usualStep(steps.filter((step) => step <= staleMs(seen)));
  const off = Math.abs(measured - rateHz) > RATE_OFF * rateHz;
  const garbled = bytes === null ? [] : garbledOf(bytes);
  const lost = garbled.length > 0 ? [] : lostOf(seen, steps, off ? measured : rateHz);
  const said = `${measured.toFixed(1)} readings a second, ${rateHz} expected`;
  const rate = off ? [finding('rate-differs', null, measured, 'Hz', said)] : [];
  return [...silent, ...garbled, ...lost, ...rate, ...frozen(seen)];
}

/** Readings may come a few at once: then the mean says more than the middle, which is nought, ms. */
function usualStep(steps: readonly number[]): number {
  const [middle, usual] = [median(steps), mean(steps)];
  return Math.max(1, middle > usual / 2 ? middle : usual);
}

/** Longest silence between readings that is no outage, ms. */
function staleMs({ config }: Seen): number {
  return config?.scale.staleMs ?? 1500;
}

/** Readings that came late and together are not missing: what is short of a period counts against. */
function lostOf(seen: Seen, steps: readonly number[], rateHz: number): Finding[] {
  const period = 1000 / rateHz;
  const near = steps.filter((step) => step <= staleMs(seen));
  const missing = sum(near.map((step) => Math.round(step / period) - 1));
  const percent = (100 * missing) / (near.length + missing);
  if (percent <= LOST_PERCENT) return [];
  const said = `${percent.toFixed(1)} % of the readings are missing (${missing})`;
  return [finding('frames-lost', null, percent, '%', said)];
}

function garbledOf({ frames, noise }: BytesCount): Finding[] {
  const percent = (100 * noise) / Math.max(1, frames + noise);
  if (percent <= GARBLED_PERCENT) return [];
  const said = `${noise} stretch(es) of bytes beside ${frames} whole frames`;
  return [finding('frames-garbled', null, percent, '%', said)];
}

function silence(seen: Seen): Finding[] {
  const { readings, links, endT } = seen;
  const times = [...readings.map(({ t }) => t), endT];
  const gaps = times
    .slice(1)
    .map((t, i) => t - (times[i] ?? t))
    .filter((gap) => gap > staleMs(seen));
  const lost = links.filter(({ link, up }) => link === 'scale' && !up).length;
  const longest = Math.max(0, ...gaps);
  if (readings.length === 0 || (gaps.length === 0 && lost === 0)) return [];
  const said = `${Math.max(gaps.length, lost)} time(s), the longest for ${(longest / 1000).toFixed(1)} s`;
  return [finding('scale-silent', null, longest, 'ms', said)];
}

/** So long without one division of change no animal stands, ms. */
const FROZEN_MS = 8000;

function frozen(seen: Seen): Finding[] {
  const { readings, config } = seen;
  const loadedKg = config?.crate.loadingKg ?? 8;
  let [from, longest] = [0, 0];
  for (const [i, { t, kg }] of readings.entries()) {
    const before = readings[i - 1];
    const gone = t - (before?.t ?? t) > staleMs(seen);
    if (kg === null || kg < loadedKg || kg !== before?.kg || gone) from = t;
    else longest = Math.max(longest, t - from);
  }
  if (longest < FROZEN_MS) return [];
  return [
    finding(
      'reading-frozen',
      null,
      longest,
      'ms',
      `the same reading for ${(longest / 1000).toFixed(1)} s`,
    ),
  ];
}
