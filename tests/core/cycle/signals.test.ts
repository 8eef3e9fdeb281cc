import { describe, expect, it } from 'vitest';
import { signals, type SignalView } from '../../../src/core/cycle/signals.ts';

const QUIET: SignalView = {
  ready: null,
  warning: null,
  call: null,
  held: null,
  saying: null,
  trip: null,
};
const SINCE = 1050;

/** Levels in the middle of each 100 ms from when the cause began: `#` on, `.` off. */
function heard(view: Partial<SignalView>, steps: number): string {
  return draw(steps, (t) => signals({ ...QUIET, ...view }, t).sounder);
}
function lit(place: number, steps: number): string {
  const view = { ...QUIET, ready: { since: SINCE, place } };
  return draw(steps, (t) => signals(view, t).letGoLamp);
}
function draw(steps: number, level: (t: number) => boolean): string {
  const at = (i: number): number => SINCE + i * 100 + 99;
  return [...Array(steps).keys()].map((i) => (level(at(i)) ? '#' : '.')).join('');
}

describe('lamp', () => {
  it.each([
    [0, '##......##......'],
    [1, '##.##......##.##......'],
    [2, '##.##.##......##.##.##......'],
    [3, '##.##.##.##......'],
    [4, '##.##.##.##.##......'],
  ])('let go to the exit at place %i: %s', (place, pattern) => {
    expect(lit(place, pattern.length)).toBe(pattern);
  });
  it('is dark for everything else', () => {
    const all = { warning: { since: SINCE, first: true }, call: SINCE, held: SINCE, trip: SINCE };
    expect(signals({ ...QUIET, ...all }, SINCE).letGoLamp).toBe(false);
  });
  it('begins with its cause and steps every 100 ms', () => {
    const at = (t: number): boolean =>
      signals({ ...QUIET, ready: { since: SINCE, place: 0 } }, t).letGoLamp;
    const levels = [0, 199, 200, 799, 800].map((ms) => at(SINCE + ms));
    expect(levels).toEqual([true, true, false, false, true]);
  });
});

describe('sounder', () => {
  it('is silent for nothing', () => {
    expect(heard({}, 30)).toBe('.'.repeat(30));
  });
  it.each([
    [0, '##..................'],
    [1, '##.##...............'],
    [2, '##.##.##............'],
  ])('let go to place %i once: %s', (place, pattern) => {
    expect(heard({ ready: { since: SINCE, place } }, pattern.length)).toBe(pattern);
  });
  it('warning, the first of a session: all along', () => {
    expect(heard({ warning: { since: SINCE, first: true } }, 12)).toBe('############');
  });
  it('warning, later: short and quiet', () => {
    const warning = { since: SINCE, first: false };
    expect(heard({ warning }, 12)).toBe('#...........');
    expect(signals({ ...QUIET, warning }, SINCE + 100).sounder).toBe(false);
  });
  it('call the operator: long and slow', () => {
    expect(heard({ call: SINCE }, 46)).toBe('######..............######..............######');
  });
  it('held for a minute: three short every five seconds', () => {
    const once = `#.#.#.${'.'.repeat(44)}`;
    expect(heard({ held: SINCE }, 100)).toBe(once + once);
  });
  it('fault: quick, without end', () => {
    expect(heard({ trip: SINCE }, 12)).toBe('#.#.#.#.#.#.');
    expect(signals({ ...QUIET, trip: SINCE }, SINCE + 3_600_000).sounder).toBe(true);
  });
  it.each([
    ['refused', '########..##..##....'],
    ['filling', '##..##..########....'],
    ['marked', '#...................'],
    ['unmarked', '#.#.................'],
  ] as const)('%s, once: %s', (what, pattern) => {
    expect(heard({ saying: { what, since: SINCE } }, pattern.length)).toBe(pattern);
  });
});

describe('of several the most urgent sounds', () => {
  const refused = { saying: { what: 'refused' as const, since: SINCE } };
  const filling = { saying: { what: 'filling' as const, since: SINCE } };
  const FAULT = '#.#.#.#.#.';
  const WARNING = '##########';
  const CALL = '######....';
  const HELD = '#.#.#.....';
  const first = { warning: { since: SINCE, first: true } };
  const ready = { ready: { since: SINCE, place: 2 } };
  it.each([
    ['fault before warning', { trip: SINCE, ...first }, FAULT],
    ['warning before refused', { ...first, ...refused }, WARNING],
    ['refused before call', { ...refused, call: SINCE }, '########..'],
    ['call before held', { call: SINCE, held: SINCE }, CALL],
    ['call before filling', { call: SINCE, ...filling }, CALL],
    ['held before filling', { held: SINCE, ...filling }, HELD],
    ['filling before let go', { ...filling, ...ready }, '##..##..##'],
    ['call before let go', { call: SINCE, ...ready }, CALL],
  ])('%s', (_, view, pattern) => {
    expect(heard(view, 10)).toBe(pattern);
  });
  it('what was said once makes way', () => {
    expect(heard({ ...refused, call: SINCE }, 26)).toBe('########..##..##....######');
  });
});
