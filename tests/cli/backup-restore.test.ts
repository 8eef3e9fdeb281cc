import { existsSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { Command } from 'commander';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { readDay } from '../../src/adapters/records/day-book.ts';
import { openForReading } from '../../src/adapters/records/reader.ts';
import { backupCommand } from '../../src/cli/backup.ts';
import { restoreCommand } from '../../src/cli/restore.ts';
import {
  crossing,
  letGo,
  recordsOf,
  siteFolder,
  wall,
  writeRows,
} from '../adapters/records/example.ts';

async function fank(...args: string[]): Promise<{ out: string; err: string; code: unknown }> {
  const printed = { out: '', err: '' };
  vi.spyOn(process.stdout, 'write').mockImplementation((text) =>
    Boolean((printed.out += String(text))),
  );
  vi.spyOn(process.stderr, 'write').mockImplementation((text) =>
    Boolean((printed.err += String(text))),
  );
  const program = new Command();
  backupCommand(program);
  restoreCommand(program);
  await program.parseAsync(args, { from: 'user' });
  const code = process.exitCode;
  process.exitCode = 0;
  vi.restoreAllMocks();
  return { ...printed, code };
}

afterEach(() => {
  vi.restoreAllMocks();
});

function animals(siteDir: string): number[] {
  const db = openForReading(siteDir);
  try {
    return readDay(db, null)?.rows.map(({ animal }) => animal) ?? [];
  } finally {
    db.close();
  }
}

/** A site with settings and two animals. */
function site(): string {
  const dir = siteFolder();
  writeRows(dir, [letGo(1), letGo(2)]);
  writeFileSync(join(dir, 'site.yaml'), 'zone: Europe/London\n');
  mkdirSync(join(dir, 'plans'));
  writeFileSync(join(dir, 'plans', 'draft.yaml'), 'plan: 1\n');
  writeFileSync(join(dir, 'treatments.csv'), 'product,given,days,tag\n');
  return dir;
}

function onlyFolder(dir: string, prefix: string): string {
  const [name, ...more] = readdirSync(dir).filter((found) => found.startsWith(prefix));
  expect(more).toEqual([]);
  return join(dir, name ?? 'none');
}

describe('fank backup and fank restore', () => {
  it('copy while the records are being written, and bring everything back', async () => {
    const live = site();
    const records = recordsOf(live);
    await records.ready;
    const stick = siteFolder();
    const made = await fank('backup', '--site', live, '--to', stick);
    expect(made).toMatchObject({ code: 0, err: '' });
    expect(made.out).toContain('2 crossings, the latest on 2026-09-12; checked');

    records.crossing(crossing(3), 'S1', false, wall(30_000));
    await records.close();
    expect(animals(live)).toEqual([1, 2, 3]);
    writeFileSync(join(live, 'plans', 'draft.yaml'), 'spoilt');
    writeFileSync(join(live, 'treatments.csv'), 'spoilt');
    const back = await fank('restore', onlyFolder(stick, 'fank-backup-'), '--site', live);
    expect(back).toMatchObject({ code: 0, err: '' });
    expect(animals(live)).toEqual([1, 2]);
    expect(readFileSync(join(live, 'plans', 'draft.yaml'), 'utf8')).toBe('plan: 1\n');
    expect(readFileSync(join(live, 'treatments.csv'), 'utf8')).toMatch(/^product/);
    const replaced = onlyFolder(live, 'replaced-');
    expect(animals(replaced)).toEqual([1, 2, 3]);
    expect(readFileSync(join(replaced, 'plans', 'draft.yaml'), 'utf8')).toBe('spoilt');
  });

  it('make a site out of a backup where there was none', async () => {
    const stick = siteFolder();
    await fank('backup', '--site', site(), '--to', stick);
    const fresh = join(siteFolder(), 'new-site');
    expect(await fank('restore', onlyFolder(stick, 'fank-backup-'), '--site', fresh)).toMatchObject(
      { code: 0 },
    );
    expect(animals(fresh)).toEqual([1, 2]);
  });

  it('change nothing under a running Fank', async () => {
    const live = site();
    const stick = siteFolder();
    await fank('backup', '--site', live, '--to', stick);
    const records = recordsOf(live);
    await records.ready;
    const refused = await fank('restore', onlyFolder(stick, 'fank-backup-'), '--site', live);
    expect(refused.code).toBe(1);
    expect(refused.err).toMatch(/^Nothing was changed\. .* is in use by another Fank/);
    expect(readdirSync(live).filter((name) => name.startsWith('replaced-'))).toEqual([]);
  });

  it('refuse what is no sound backup, and change nothing', async () => {
    const live = site();
    const stick = siteFolder();
    expect((await fank('restore', stick, '--site', live)).err).toContain(
      'there is no fank.db in it',
    );
    await fank('backup', '--site', live, '--to', stick);
    const backup = onlyFolder(stick, 'fank-backup-');
    const bytes = readFileSync(join(backup, 'fank.db'));
    bytes.fill(0x55, 2048, 6000);
    writeFileSync(join(backup, 'fank.db'), bytes);
    const refused = await fank('restore', backup, '--site', live);
    expect(refused.code).toBe(2);
    expect(refused.err).toMatch(/^Nothing was changed\. .*fank\.db/);
    expect(animals(live)).toEqual([1, 2]);
  });

  it('say that there is no day book, and leave no half-made backup behind', async () => {
    const empty = siteFolder();
    const refused = await fank('backup', '--site', empty);
    expect(refused).toMatchObject({ code: 2, out: '' });
    expect(refused.err).toContain('there is no day book yet');
    expect(existsSync(join(empty, 'backups')) ? readdirSync(join(empty, 'backups')) : []).toEqual(
      [],
    );
  });
});
