/** A power cut: the real service is killed in the middle of its work and started again on the same site. */
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { makeSite } from '../../src/config/starting-site.ts';

const MAIN = fileURLToPath(new URL('../../src/cli/main.ts', import.meta.url));
const CAPACITY = 4;

let site = '';
beforeEach(() => {
  site = mkdtempSync(join(tmpdir(), 'fank-restart-'));
  makeSite(site);
  const plan = join(site, 'plans', 'by-weight.yaml');
  const small = `belowKg: 40, capacity: ${String(CAPACITY)}, whenFull: { overflow: Heavy }`;
  const text = readFileSync(plan, 'utf8').replace('belowKg: 40', small);
  writeFileSync(plan, `${text}allowUnsureToSlaughter: true\n`);
});
afterEach(() => {
  rmSync(site, { recursive: true, force: true });
});

/** Rows of the day book as another program reads them. */
function rows(): { session: number; animal: number; lot: string | null; kg: number }[] {
  if (!existsSync(join(site, 'fank.db'))) return [];
  const db = new Database(join(site, 'fank.db'), { readonly: true });
  try {
    return db
      .prepare('SELECT session, animal, lot, recorded_kg AS kg FROM crossing ORDER BY id')
      .all() as ReturnType<typeof rows>;
  } catch {
    return []; // its tables are being made
  } finally {
    db.close();
  }
}

const heads = (lot: string): number => rows().filter((row) => row.lot === lot).length;

/** Sorts a mob; killed as soon as `enough`, or runs to its end. */
async function sort(animals: number, seed: number, enough: (() => boolean) | null): Promise<void> {
  const args = ['--site', site, '--animals', String(animals), '--seed', String(seed)];
  const child = spawn(
    process.execPath,
    ['--import', 'tsx', MAIN, 'demo', '--exit', '--json', ...args, '--pace', '20'],
    { stdio: ['ignore', 'ignore', 'pipe'] },
  );
  let said = '';
  child.stderr.on('data', (data: Buffer) => (said += data.toString()));
  const watch = setInterval(() => {
    if (enough?.() === true) child.kill('SIGKILL');
  }, 20);
  const [code, signal] = await new Promise<[number | null, string | null]>((resolve) =>
    child.once('close', (...how) => {
      resolve(how);
    }),
  );
  clearInterval(watch);
  if (enough === null) expect([code, said]).toEqual([0, said]);
  else expect([signal, said]).toEqual(['SIGKILL', said]);
}

test('numbers and the head of a lot that fills up go on after the power comes back', async () => {
  await sort(40, 3, () => heads('Stores') >= 2);
  const before = rows();
  const stores = heads('Stores');
  expect(stores).toBeLessThan(CAPACITY);
  await sort(12, 4, null);
  const after = rows();
  expect(after.slice(0, before.length)).toEqual(before);
  expect(new Set(after.map(({ session }) => session)).size).toBe(1);
  const numbers = after.map(({ animal }) => animal);
  expect(new Set(numbers).size).toBe(numbers.length);
  expect(Math.min(...numbers.slice(before.length))).toBeGreaterThan(
    Math.max(...numbers.slice(0, before.length)),
  );
  // The second run had more stores than there was room for: those before the cut count.
  expect(heads('Stores')).toBe(CAPACITY);
  const light = after.filter(({ kg }) => kg < 39).length;
  expect(light).toBeGreaterThan(CAPACITY);
  expect(after.filter(({ lot, kg }) => lot === 'Heavy' && kg < 39).length).toBeGreaterThan(0);
}, 180_000);
