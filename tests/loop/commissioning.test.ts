/** The fitting beside the loop: what is open keeps the race from starting, and is taken when it stands still. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { createSimulatedBoard } from '../../src/adapters/relays/simulated.ts';
import { openCommissioning } from '../../src/commissioning.ts';
import { loadSite, type ResolvedSite } from '../../src/config/load.ts';
import { FITTING_FILE, fittingText, marksOf } from '../../src/fitting/file.ts';
import { Loop } from '../../src/loop.ts';
import { complete } from '../fitting/complete.ts';

let dir = '';
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'fank-commissioning-'));
});
afterEach(() => rmSync(dir, { recursive: true, force: true }));

function wiredSite(): ResolvedSite {
  loadSite(dir);
  const file = join(dir, 'site.yaml');
  writeFileSync(file, readFileSync(file, 'utf8').replace('board: simulated', 'board: pi-gpio'));
  const site = loadSite(dir);
  if (!site.ok) throw new Error(JSON.stringify(site.errors));
  return site.value;
}

/** A loop on a box whose contacts all permit, with a fitting in which `but` is open. */
function bench(but: string[], site = wiredSite()) {
  const time = { now: 0 };
  const clock = { now: () => time.now, wallAt: (t: number) => t, isSet: () => true };
  const state = complete(site.config, marksOf(site), but);
  writeFileSync(join(site.dir, FITTING_FILE), fittingText(state));
  const told: string[] = [];
  const fitting = openCommissioning({
    ...{ site, config: site.config, now: clock.now, boot: 'one' },
    wall: () => ({ atMs: time.now, clockSet: true }),
    say: (text) => told.push(text),
  });
  const board = createSimulatedBoard(site.config.inputs);
  // The rail is dead while the keep-alive is silent.
  const off = (name: string): boolean => name.endsWith('Button') || name === 'actuatorPower';
  for (const name of site.config.inputs) board.shown[name] = !off(name);
  const config = fitting.fitted(site.config);
  const loop = new Loop({ config, version: '0', clock, board, session: 's' });
  const written: string[] = [];
  const write = (files: { text: string }[]): Promise<null> => {
    written.push(...files.map(({ text }) => text));
    return Promise.resolve(null);
  };
  let changes = 0;
  fitting.follow(loop, write, () => (changes += 1));
  const wait = (ms: number): void => {
    for (const end = time.now + ms; time.now < end;) {
      time.now += 10;
      loop.pump();
    }
  };
  wait(600);
  return { site, fitting, loop, wait, written, told, changes: () => changes };
}

const FUSES = { item: 'fuses', who: 'A. Fitter' } as const;

test('refused with the name of what is open; done, it starts without a restart', async () => {
  const { fitting, loop, written, changes } = bench(['fuses']);
  expect(loop.command({ do: 'start' }).reason).toContain('1 supply');
  const said = { do: 'answer', value: true, ...FUSES } as const;
  const { refused, view } = await fitting.answer({ ask: 'say', said });
  expect([refused, view?.notFitted]).toEqual([null, ['signature']]);
  expect(loop.command({ do: 'start' }).reason).toContain('signature');
  const signed = await fitting.answer({ ask: 'say', said: { do: 'sign', who: 'A. Fitter' } });
  expect([signed.refused, signed.view?.notFitted]).toEqual([null, []]);
  expect(written).toHaveLength(2);
  expect(changes()).toBe(2);
  expect(loop.command({ do: 'start' })).toEqual({ ok: true });
});

test('in the middle of work nothing changes; stopped, the open step counts', async () => {
  const { fitting, loop, wait } = bench([]);
  expect(loop.command({ do: 'start' })).toEqual({ ok: true });
  await fitting.answer({ ask: 'say', said: { do: 'again', ...FUSES } });
  expect(loop.config.notFitted).toBeUndefined();
  expect(loop.state.cycle.mode).not.toBe('stopped');
  loop.command({ do: 'stop' });
  wait(100);
  expect(loop.config.notFitted).toEqual(['1 supply']);
  expect(loop.command({ do: 'start' }).ok).toBe(false);
});

test('the drop-out that was measured proves the keep-alive; not done, it does not', () => {
  const site = wiredSite();
  expect(site.config.keepAliveProved).toBe(false);
  expect(bench([], site).loop.config.keepAliveProved).toBe(true);
  expect(bench(['drop-out'], site).loop.config.keepAliveProved).toBe(false);
});

test('a damaged file is said, and every safety step is open', () => {
  const site = wiredSite();
  writeFileSync(join(dir, FITTING_FILE), '{"fitting":1');
  const told: string[] = [];
  const fitting = openCommissioning({
    ...{ site, config: site.config, now: () => 0, boot: 'one' },
    wall: () => ({ atMs: 0, clockSet: true }),
    say: (text) => told.push(text),
  });
  expect(told.join()).toContain('damaged');
  expect(fitting.fitted(site.config).notFitted).toHaveLength(7);
});

test('a simulated board needs no fitting', () => {
  loadSite(dir);
  const site = loadSite(dir);
  if (!site.ok) throw new Error('the new site does not load');
  const fitting = openCommissioning({
    ...{ site: site.value, config: site.value.config, now: () => 0, boot: 'one' },
    wall: () => ({ atMs: 0, clockSet: true }),
    say: () => undefined,
  });
  expect(fitting.fitted(site.value.config).notFitted).toBeUndefined();
});
