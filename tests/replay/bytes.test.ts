/** Raw bytes beside readings: when each frame came, and whether they still say what was read. */
import { describe, expect, test } from 'vitest';
import { frame } from '../../simulator/frames.ts';
import { bytesDifference, timedBytes } from '../../src/replay/bytes.ts';
import { profileOf } from '../../src/replay/play.ts';
import type { TraceFile } from '../../src/replay/read.ts';

const header = { trace: 1 as const, startedAt: null, scale: { divisionKg: 0.1, rateHz: 10 } };
const profile = profileOf({ ...header, inputs: [] });
const base64 = (text: string): string => Buffer.from(text, 'latin1').toString('base64');

function trace(records: TraceFile['records']): TraceFile {
  return {
    file: 'a.trace.ndjson',
    header: { ...header, inputs: [] },
    records,
    notes: [],
    broken: 0,
  };
}

/** Two seconds of readings, the bytes of each second in one record behind them. */
function seconds(kgAt: (i: number) => number): TraceFile['records'] {
  const records: TraceFile['records'] = [];
  let held = '';
  for (let i = 0; i < 20; i += 1) {
    records.push({ t: 100 * i + 7, kg: kgAt(i) });
    held += frame(kgAt(i), false);
    if (i % 10 !== 9) continue;
    records.push({ t: 100 * i + 50, bytes: base64(held) });
    held = '';
  }
  return records;
}

describe('raw bytes beside readings', () => {
  const kgAt = (i: number): number => 40 + i / 10;

  test('each frame is played when its reading had come', () => {
    const timed = timedBytes(trace(seconds(kgAt)), profile);
    // A frame ends at its first end character; the one behind it goes with the next.
    expect(timed.slice(-4).map(({ t }) => t)).toEqual([1707, 1807, 1907, 1950]);
    const text = timed.map(({ bytes }) => Buffer.from(bytes).toString('latin1')).join('');
    expect(text).toBe(Array.from({ length: 20 }, (_, i) => frame(kgAt(i), false)).join(''));
    const steps = timed.map(({ t }, i) => t - (timed[i - 1]?.t ?? t));
    expect(steps.every((ms) => ms >= 0)).toBe(true);
  });

  test('bytes that say the same are equal, a changed reading is named with both', () => {
    const records = seconds(kgAt);
    expect(bytesDifference(trace(records), profile)).toBeNull();
    const changed = records.map((r) => ('kg' in r && r.t === 1307 ? { ...r, kg: 44 } : r));
    expect(bytesDifference(trace(changed), profile)).toEqual({
      t: 1307,
      recorded: '44 kg',
      decoded: '41.3 kg',
    });
  });

  test('after a hang-up both sides begin anew', () => {
    const records = seconds(kgAt);
    const later = seconds(kgAt).map((r) => ({ ...r, t: r.t + 5000 }));
    const cut: TraceFile['records'] = [
      ...records,
      { t: 2500, bytes: base64('ST,GS,+   4') },
      { t: 3000, link: 'scale', up: false },
      { t: 4900, link: 'scale', up: true },
      ...later,
    ];
    expect(bytesDifference(trace(cut), profile)).toBeNull();
  });

  test('bytes of no profile come at the time of their record', () => {
    const records: TraceFile['records'] = [
      { t: 10, bytes: base64('??') },
      { t: 30, bytes: base64('!!') },
    ];
    expect(timedBytes(trace(records), null).map(({ t }) => t)).toEqual([10, 30]);
  });
});
