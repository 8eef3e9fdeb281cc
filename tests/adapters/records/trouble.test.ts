import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it, onTestFinished } from 'vitest';
import { crossing, once, recordsOf, siteFolder, wall } from './example.ts';

const isRoot = process.getuid?.() === 0;

/** A small file system of its own, or null where that may not be mounted. */
function smallCard(kib: number): string | null {
  const dir = siteFolder();
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', `size=${kib}k`, 'tmpfs', dir], { stdio: 'ignore' });
  } catch {
    return null;
  }
  onTestFinished(() => {
    execFileSync('umount', ['-l', dir]);
  });
  return dir;
}

function animalsOf(siteDir: string): unknown[] {
  const db = new Database(join(siteDir, 'fank.db'));
  try {
    expect(db.pragma('integrity_check', { simple: true })).toBe('ok');
    return db.prepare('SELECT animal FROM crossing ORDER BY animal').pluck().all();
  } finally {
    db.close();
  }
}

describe('a card that gives trouble', () => {
  it.skipIf(!isRoot)(
    'full: the link goes down in words; with space again all is written, once',
    async () => {
      const siteDir = smallCard(512);
      if (siteDir === null) {
        console.warn('left out: no small file system may be mounted here (needs root)');
        return;
      }
      const records = recordsOf(siteDir);
      await records.ready;
      const saved: number[] = [];
      records.onSaved((_, animal) => saved.push(animal));
      const down = once<[boolean, string]>(records.onLink, (up) => !up);
      try {
        writeFileSync(join(siteDir, 'ballast'), Buffer.alloc(1 << 20));
      } catch {
        // until the card is full
      }
      for (let animal = 1; animal <= 60; animal += 1) {
        records.crossing(crossing(animal, { reason: 'x'.repeat(900) }), 'S1', false, wall(animal));
      }
      expect((await down)[1]).toMatch(/could not be written, the card is full.*Free some space/);
      const before = saved.length;
      const up = once(records.onLink, (isUp) => isUp);
      rmSync(join(siteDir, 'ballast'));
      await up;
      expect(before).toBeLessThan(60);
      await records.close();
      expect(saved).toEqual(Array.from({ length: 60 }, (_, i) => i + 1));
      expect(animalsOf(siteDir)).toEqual(saved);
    },
  );

  it.skipIf(!isRoot)(
    'read-only: the link goes down in words, and up when it can be written again',
    async () => {
      const siteDir = smallCard(2048);
      if (siteDir === null) return;
      execFileSync('mount', ['-o', 'remount,ro', siteDir]);
      const records = recordsOf(siteDir);
      const [, reason] = await once(records.onLink);
      expect(reason).toMatch(/the card is read-only.*replace the card/);
      records.crossing(crossing(1), 'S1', false, wall(0));
      const saved = once(records.onSaved);
      execFileSync('mount', ['-o', 'remount,rw', siteDir]);
      expect(await saved).toEqual(['S1', 1]);
    },
  );

  it('a damaged day book: says which file and the remedy, and writes over nothing', async () => {
    const siteDir = siteFolder();
    const junk = 'not a database, but somebody may still want it'.repeat(40);
    writeFileSync(join(siteDir, 'fank.db'), junk);
    const records = recordsOf(siteDir);
    const [up, reason] = await once(records.onLink);
    expect(up).toBe(false);
    expect(reason).toMatch(/fank\.db could not be written, the day book is damaged.*fank restore/);
    expect(readFileSync(join(siteDir, 'fank.db'), 'utf8')).toBe(junk);
    await records.close(500);
  });

  it('traces that cannot be written do not keep crossings from being saved', async () => {
    const siteDir = siteFolder();
    mkdirSync(siteDir, { recursive: true });
    writeFileSync(join(siteDir, 'traces'), 'a file where the folder should be');
    const records = recordsOf(siteDir);
    const down = once<[boolean, string]>(records.onLink, (up) => !up);
    const saved = once(records.onSaved);
    records.input({ t: 20, kg: 1 });
    records.crossing(crossing(1), 'S1', false, wall(0));
    expect(await saved).toEqual(['S1', 1]);
    expect((await down)[1]).toContain('traces');
    const up = once(records.onLink, (isUp) => isUp);
    rmSync(join(siteDir, 'traces'));
    await up;
    await records.close();
    const [name] = readdirSync(join(siteDir, 'traces'));
    expect(readFileSync(join(siteDir, 'traces', name ?? ''), 'utf8')).toContain('{"t":20,"kg":1}');
  });
});
