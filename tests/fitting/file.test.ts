import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { loadSite } from '../../src/config/load.ts';
import { FITTING_FILE, fittingText, marksOf, readFitting } from '../../src/fitting/file.ts';
import { NOTHING_DONE, type Marks } from '../../src/fitting/state.ts';

let dir = '';
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fank-fitting-'));
});
afterEach(() => rmSync(dir, { recursive: true, force: true }));

const SHIPPED = join(import.meta.dirname, '../../hardware-profiles');

/** Hashes of a site whose profiles are changed copies of shipped ones. */
function marks(change: Partial<Record<'board' | 'gate', (text: string) => string>>): Marks {
  const site = join(dir, 'site');
  const made = loadSite(site);
  if (!made.ok) throw new Error('the new site does not load');
  const file = join(site, 'site.yaml');
  const text = readFileSync(file, 'utf8').replace('board: simulated', 'board: mine');
  writeFileSync(file, text.replace('gate: three-way', 'gate: my-gate'));
  const copy = (from: string, to: string, by: (text: string) => string): void =>
    writeFileSync(join(site, 'profiles', to), by(readFileSync(join(SHIPPED, from), 'utf8')));
  const same = (text: string): string => text;
  copy('boards/pi-gpio.yaml', 'mine.yaml', change.board ?? same);
  copy('gates/three-way.yaml', 'my-gate.yaml', change.gate ?? same);
  const loaded = loadSite(site);
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.errors));
  rmSync(site, { recursive: true });
  return marksOf(loaded.value);
}

test('a fitting comes back from the card as it was', () => {
  const state = {
    ...NOTHING_DONE,
    results: {
      fuses: { ok: true, value: true, who: 'A', atMs: 1, clockSet: true, mark: null },
      mass: { ok: false, value: [25, 26], who: 'A', atMs: 1, clockSet: false, mark: 'x' },
    },
    signed: {
      ...{ who: 'A', atMs: 2, clockSet: true, open: ['mass'] },
      marks: { scale: 'x', inputs: 'y', gate: 'z' },
    },
    boots: ['one'],
  };
  writeFileSync(join(dir, FITTING_FILE), fittingText(state));
  expect(readFitting(dir)).toEqual({ state, trouble: null });
});

test('none yet is nothing done; one that is cut off at any byte is too, and is told', () => {
  expect(readFitting(dir)).toEqual({ state: NOTHING_DONE, trouble: null });
  const whole = fittingText({ ...NOTHING_DONE, boots: ['one'] }).trimEnd();
  for (let bytes = 0; bytes < whole.length; bytes++) {
    writeFileSync(join(dir, FITTING_FILE), whole.slice(0, bytes));
    const read = readFitting(dir);
    expect(read.state).toEqual(NOTHING_DONE);
    expect(read.trouble).toContain('damaged');
  }
});

test('what was tried holds for gate, board and inputs as they were, whatever is said about them', () => {
  const before = marks({});
  const same = marks({
    board: (text) => text.replace('name: Raspberry Pi lines', 'name: My lines'),
  });
  expect(same).toEqual(before);
  const slower = marks({ gate: (text) => text.replace('travelMs: 800', 'travelMs: 900') });
  expect(slower.gate).not.toBe(before.gate);
  expect(slower.inputs).toBe(before.inputs);
  const rewired = marks({ board: (text) => text.replace('gpio: 17 }', 'gpio: 18 }') });
  expect(rewired.gate).not.toBe(before.gate);
  expect(rewired.inputs).toBe(before.inputs);
  const moved = marks({
    board: (text) => text.replace('gpio: 5, active: low', 'gpio: 19, active: low'),
  });
  expect(moved.gate).not.toBe(before.gate);
  expect(moved.inputs).not.toBe(before.inputs);
  expect(moved.scale).toBe(before.scale);
});
