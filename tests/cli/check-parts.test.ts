/** Parts of `fank check` that need a machine: given its files and its board instead. */
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { holderOf, lockSite } from '../../src/adapters/records/lock.ts';
import type { Board } from '../../src/adapters/relays/board.ts';
import { createSimulatedBoard } from '../../src/adapters/relays/simulated.ts';
import { boardChecks } from '../../src/cli/check-board.ts';
import type { Check } from '../../src/cli/check-line.ts';
import { bluetoothCheck, heatCheck, supplyCheck } from '../../src/cli/check-machine.ts';
import { checks } from '../../src/cli/check-site.ts';
import { loadSite, type ResolvedSite } from '../../src/config/load.ts';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-check-parts-'));
});
afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

function file(name: string, text: string): string {
  const path = join(folder, name);
  mkdirSync(join(path, '..'), { recursive: true });
  writeFileSync(path, text);
  return path;
}

describe('the Pi’s own word', () => {
  // Bits as the firmware documents them: 0 under-voltage, 1 capped, 2 throttled, 3 soft limit; 16 higher: since power-up.
  test.each([
    ['0', true, /never/],
    ['1', false, /supply too low now/],
    ['10000', false, /^supply too low since power-up$/],
    ['50005', false, /too low now, throttled now, .* too low since power-up, throttled since/],
    ['80000', false, /hot since power-up/],
  ])('throttling state %s', (text, ok, said) => {
    const check = supplyCheck(file('get_throttled', `${text}\n`));
    expect(check.ok).toBe(ok);
    expect(check.said).toMatch(said);
    expect(check.remedy === '').toBe(ok);
  });

  test('heat, and a machine that says neither', () => {
    expect(heatCheck(file('temp', '54321\n'))).toMatchObject({ ok: true, said: '54 °C' });
    expect(heatCheck(file('temp', '81000\n'))).toMatchObject({ ok: false, said: '81 °C' });
    expect(heatCheck(join(folder, 'none')).ok).toBeNull();
    expect(supplyCheck(join(folder, 'none')).ok).toBeNull();
  });
});

describe('the Bluetooth adapter of a weigh head', () => {
  test('not there, switched off, there, or held by the service', () => {
    expect(bluetoothCheck(0, false, folder)).toMatchObject({ ok: false, said: /no adapter hci0/ });
    const soft = file('bluetooth/hci0/rfkill1/soft', '1\n');
    expect(bluetoothCheck(0, false, folder)).toMatchObject({ ok: false, remedy: /rfkill unblock/ });
    writeFileSync(soft, '0\n');
    expect(bluetoothCheck(0, false, folder).ok).toBe(true);
    expect(bluetoothCheck(0, true, folder)).toMatchObject({ ok: null, said: /service has it/ });
  });
});

describe('the board', () => {
  function site(): ResolvedSite {
    const loaded = loadSite(folder);
    if (!loaded.ok) throw new Error('the starting site does not load');
    const text = readFileSync(join(folder, 'site.yaml'), 'utf8');
    writeFileSync(join(folder, 'site.yaml'), text.replace('board: simulated', 'board: pi-gpio'));
    const wired = loadSite(folder);
    if (!wired.ok) throw new Error(JSON.stringify(wired.errors));
    return wired.value;
  }

  async function looked(board: Partial<Board>, holder: string | null = null): Promise<Check[]> {
    const inputs = ['frontShut', 'stopLoop', 'actuatorPower', 'startButton'];
    const found: Check[] = [];
    const open = (): Board => ({ ...createSimulatedBoard(inputs), ...board });
    for await (const one of boardChecks(site(), holder, open, at)) found.push(one);
    return found;
  }
  const at = (): Promise<void> => Promise.resolve();
  const rest = { frontShut: true, stopLoop: true, actuatorPower: false, startButton: false };

  test('at rest, with its voltage, and let go again', async () => {
    let closed = 0;
    const found = await looked({
      read: () => ({ ...rest }),
      volts: () => 12.5,
      close: () => {
        closed += 1;
      },
    });
    expect(found.map(({ check, ok }) => [check, ok])).toEqual([
      ['board', true],
      ['inputs at rest', true],
      ['battery', true],
    ]);
    expect(closed).toBe(1);
  });

  test('what does not stand as it should is named', async () => {
    const odd = { ...rest, stopLoop: false, actuatorPower: true, startButton: true };
    const [, inputs] = await looked({ read: () => odd });
    expect(inputs).toMatchObject({ ok: false, remedy: /drop-out relay did not fall/ });
    expect(inputs?.said).toBe(
      'stopLoop off, startButton pressed, actuatorPower on with no keep-alive',
    );
    let n = 0;
    const [, restless] = await looked({
      read: () => ({ ...rest, frontShut: (n += 1) % 10 !== 0 }),
    });
    expect(restless?.said).toMatch(/frontShut changed \d+ time/);
  });

  test('lines that are taken and a board that is silent say what to do; the service’s are left alone', async () => {
    const taken: Check[] = [];
    const refuse = (): Board => {
      throw new Error('board pi-gpio: lines of x are taken: leafA.extend by y. Stop that program.');
    };
    for await (const one of boardChecks(site(), null, refuse, at)) taken.push(one);
    expect(taken).toMatchObject([{ ok: false, remedy: 'Stop that program.' }]);
    expect(await looked({ read: () => null })).toMatchObject([
      { ok: false, said: /does not answer/ },
    ]);
    const held = await looked({}, 'process 1');
    expect(held).toMatchObject([{ ok: null, said: /running service holds its lines/ }]);
  });
});

test('a running service is seen, named, and not disturbed', async () => {
  loadSite(folder);
  expect(holderOf(folder)).toBeNull();
  const unlock = lockSite(folder);
  expect(holderOf(folder)).toMatch(new RegExp(`^process ${process.pid}, since `));
  const said: Check[] = [];
  for await (const one of checks(folder)) if (one.check === 'service') said.push(one);
  expect(said).toMatchObject([{ ok: true, said: /^running \(process/ }]);
  unlock();
  expect(holderOf(folder)).toBeNull();
});

test('the newest trace is looked at; a fault that was raised in it is told, not counted', async () => {
  loadSite(folder);
  const shown = async (): Promise<Check[]> => {
    const found: Check[] = [];
    for await (const one of checks(folder)) found.push(one);
    return found;
  };
  expect((await shown()).find(({ check }) => check === 'trace')).toMatchObject({ ok: null });
  const shipped = join(import.meta.dirname, '../traces');
  const trace = readFileSync(join(shipped, 'front-stuck.trace.ndjson'), 'utf8');
  file('traces/a.trace.ndjson', trace);
  const raised = (await shown()).find(({ check }) => check === 'front-unseen');
  expect(raised).toMatchObject({ ok: null });
  expect(raised?.said).toMatch(/switch of the front is stuck/);
  file('traces/a.trace.ndjson', readFileSync(join(shipped, 'frames-lost.trace.ndjson'), 'utf8'));
  const lost = (await shown()).find(({ check }) => check === 'frames-lost');
  expect(lost).toMatchObject({ ok: false });
  expect(lost?.said).toMatch(/% of the readings are missing/);
});
