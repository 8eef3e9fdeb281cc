import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { createColumns } from '../../../../src/adapters/page/workshop/columns.ts';
import { createLine } from '../../../../src/adapters/page/workshop/spans.ts';
import { TraceViewer, type TraceView } from '../../../../src/adapters/page/workshop/trace-view.ts';

const HEADER = {
  trace: 1,
  startedAt: null,
  scale: { divisionKg: 0.1, rateHz: 10 },
  inputs: ['frontShut'],
};

function view(records: object[], window: [number, number] | null = null): TraceView {
  const viewer = new TraceViewer(window);
  for (const record of [HEADER, ...records]) viewer.take(JSON.stringify(record));
  return viewer.read();
}

const crossing = { animal: 7, recordedKg: 41.5, exit: 'left', flags: ['let-out-early'] };
const DAY = [
  { t: 0, state: { cycle: { mode: 'paused' }, contacts: { inputs: { stopLoop: { raw: true } } } } },
  { t: 100, event: { kind: 'mode', mode: 'running', why: 'a person started' } },
  { t: 200, input: 'frontShut', on: true },
  { t: 1000, kg: 0.1 },
  { t: 1100, kg: 22 },
  { t: 1100, event: { kind: 'on', animal: 7 } },
  { t: 1200, kg: 41.4 },
  {
    t: 1900,
    event: {
      kind: 'decided',
      animal: 7,
      lot: 'Fit',
      exit: 'left',
      kg: 41.4,
      reason: 'sure',
      rule: 'sure',
      revision: 0,
    },
  },
  { t: 1900, output: 'leafA.extend', on: true },
  { t: 2700, output: 'leafA.extend', on: false },
  { t: 2800, event: { kind: 'ready', animal: 7, exit: 'left' } },
  { t: 3500, input: 'frontShut', on: false },
  { t: 3500, event: { kind: 'let-go', crossing } },
  { t: 5000, event: { kind: 'left', crossing } },
  { t: 6000, event: { kind: 'fault', fault: 'stop-pressed', on: true, detail: 'wire' } },
  { t: 6000, event: { kind: 'mode', mode: 'fault', why: 'stop-pressed' } },
  { t: 8000, link: 'scale', up: false },
];

describe('one trace', () => {
  test('shows weights, states, contacts, outputs and what happened', () => {
    const seen = view(DAY);
    expect(seen.lengthMs).toBe(8000);
    expect(seen.weight.low.filter((kg) => kg !== null)).toEqual([0.1, 22, 41.4]);
    expect(seen.modes).toEqual([
      { mode: 'paused', span: [0, 100] },
      { mode: 'running', span: [100, 6000] },
      { mode: 'fault', span: [6000, 8000] },
    ]);
    expect(seen.bands.map(({ state, span }) => [state, ...span])).toEqual([
      ['weighing', 1100, 1900],
      ['decided', 1900, 2800],
      ['ready', 2800, 3500],
      ['leaving', 3500, 5000],
    ]);
    const line = (name: string) => seen.lines.find((one) => one.name === name)?.spans;
    expect(line('frontShut')).toEqual([[200, 3500]]);
    expect(line('stopLoop')).toEqual([[0, 8000]]);
    expect(line('leafA.extend')).toEqual([[1900, 2700]]);
    expect(seen.marks.map(({ t, kind, text }) => [t, kind, text])).toEqual([
      [100, 'mode', 'a person started'],
      [1900, 'decided', 'Fit: sure'],
      [3500, 'let-go', 'left, let-out-early'],
      [6000, 'fault', 'stop-pressed: wire'],
      [6000, 'mode', 'stop-pressed'],
    ]);
    expect([seen.leftOut, seen.broken]).toEqual([0, 0]);
  });

  test('shows a window of it, with what was on when it begins', () => {
    const seen = view(DAY, [2000, 3000]);
    expect(seen.window).toEqual([2000, 3000]);
    expect(seen.modes).toEqual([{ mode: 'running', span: [2000, 3000] }]);
    expect(seen.bands.map(({ state, span }) => [state, ...span])).toEqual([
      ['decided', 2000, 2800],
      ['ready', 2800, 3000],
    ]);
    expect(seen.lines.find(({ name }) => name === 'leafA.extend')?.spans).toEqual([[2000, 2700]]);
    expect(seen.weight.t).toEqual([]);
    expect(seen.marks).toEqual([]);
    expect(seen.lengthMs).toBe(8000);
  });

  test('with damaged and unknown lines shows the others and counts', () => {
    const viewer = new TraceViewer(null);
    for (const line of [
      JSON.stringify(HEADER),
      '{"t":5,"kg":1}',
      'x',
      '{"t":4,"kg":1}',
      '{"t":9,"new":1}',
    ]) {
      viewer.take(line);
    }
    const seen = viewer.read();
    expect([seen.broken, seen.lengthMs]).toEqual([2, 5]);
  });

  test.each([
    ['', 'not a JSON object'],
    ['{"trace":2}', '"trace":1'],
    ['{"trace":1}', 'divisionKg'],
  ])('%j is no trace, and it says why', (line, why) => {
    expect(() => {
      new TraceViewer(null).take(line);
    }).toThrow(why);
  });

  test('the golden trace has its twelve lambs', () => {
    const viewer = new TraceViewer(null);
    const text = readFileSync(
      new URL('../../../golden/race.trace.ndjson', import.meta.url),
      'utf8',
    );
    for (const line of text.split('\n')) viewer.take(line);
    const { weight, lines, lengthMs, broken } = viewer.read();
    expect(broken).toBe(0);
    expect(lengthMs).toBeGreaterThan(60_000);
    expect(Math.max(...weight.high.map((kg) => kg ?? 0))).toBeGreaterThan(30);
    expect(lines.map(({ name }) => name)).toContain('laneClear');
  });
});

describe('whatever comes, what is shown stays small', () => {
  test('weights: nine hundred columns and gaps, no extreme is lost, times rise', () => {
    const reading = fc.tuple(
      fc.integer({ min: 1, max: 5000 }),
      fc.integer({ min: -50, max: 2000 }),
    );
    fc.assert(
      fc.property(fc.array(reading, { minLength: 1, maxLength: 3000 }), (readings) => {
        const columns = createColumns();
        let t = 0;
        for (const [after, kg] of readings) columns.add((t += after), kg / 10);
        const { t: times, low, high } = columns.read();
        expect(times.length).toBeLessThanOrEqual(1800);
        expect(times.every((at, i) => i === 0 || at > (times[i - 1] ?? 0))).toBe(true);
        const kgs = readings.map(([, kg]) => kg / 10);
        const known = (list: (number | null)[]): number[] => list.filter((kg) => kg !== null);
        expect(Math.min(...known(low))).toBe(Math.min(...kgs));
        expect(Math.max(...known(high))).toBe(Math.max(...kgs));
      }),
      { numRuns: 60 },
    );
  });

  test('lines: six hundred spans, in order, none out of the window', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 400 }), { maxLength: 4000 }), (gaps) => {
        const line = createLine(1000, 200_000);
        let t = 0;
        for (const [i, gap] of gaps.entries()) line.set((t += gap), i % 2 === 0);
        const { spans } = line.read(t, 0);
        expect(spans.length).toBeLessThanOrEqual(600);
        const edges = spans.flat();
        expect(edges.every((at, i) => i === 0 || at >= (edges[i - 1] ?? 0))).toBe(true);
        expect(edges.every((at) => at >= 1000 && at <= 200_000)).toBe(true);
      }),
      { numRuns: 60 },
    );
  });

  test('marks: the last faults stay, however many animals come after', () => {
    const fault = { t: 1, event: { kind: 'fault', fault: 'stop-pressed', on: true } };
    const tags = Array.from({ length: 5000 }, (_, i) => ({ t: i + 2, tag: '999000000000123' }));
    const { marks, leftOut } = view([fault, ...tags]);
    expect(marks[0]).toMatchObject({ kind: 'fault' });
    expect(marks.at(-1)?.t).toBe(5001);
    expect(marks.length + leftOut).toBe(5001);
    expect(marks.length).toBeLessThanOrEqual(800);
  });
});
