import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { bookPath, openForWriting, STEPS } from '../../../src/adapters/records/schema.ts';
import { openForReading } from '../../../src/adapters/records/reader.ts';
import { siteFolder } from './example.ts';

function stepped(siteDir: string, steps: readonly string[]): void {
  openForWriting(siteDir, 'UTC', steps).close();
}

describe('the day book on the card', () => {
  it('is safe against a power cut: write-ahead log, synced at every commit', () => {
    const db = openForWriting(siteFolder(), 'UTC');
    expect(db.pragma('journal_mode', { simple: true })).toBe('wal');
    expect(db.pragma('synchronous', { simple: true })).toBe(2); // FULL
    expect(db.pragma('foreign_keys', { simple: true })).toBe(1);
    db.close();
  });

  it('is brought up to date one step at a time, each after a copy of the whole', () => {
    const siteDir = siteFolder();
    stepped(siteDir, STEPS);
    expect(existsSync(join(siteDir, 'backups'))).toBe(false); // nothing there to lose
    stepped(siteDir, [...STEPS, 'CREATE TABLE second (a)', 'CREATE TABLE third (a)']);
    const backups = readdirSync(join(siteDir, 'backups')).sort();
    expect(backups).toEqual([
      `fank-version-${STEPS.length}.db`,
      `fank-version-${STEPS.length + 1}.db`,
    ]);
    const tables = backups.map((name) => {
      const db = new Database(join(siteDir, 'backups', name), { readonly: true });
      const names = db
        .prepare("SELECT name FROM sqlite_schema WHERE name IN ('second', 'third')")
        .pluck()
        .all();
      db.close();
      return names;
    });
    expect(tables).toEqual([[], ['second']]);
  });

  it('stays as it was where a step fails', () => {
    const siteDir = siteFolder();
    stepped(siteDir, STEPS);
    expect(() => {
      stepped(siteDir, [...STEPS, 'CREATE TABLE second (a); CREATE TABLE site (a)']);
    }).toThrow(/site already exists/);
    const db = new Database(bookPath(siteDir));
    expect(db.pragma('user_version', { simple: true })).toBe(STEPS.length);
    expect(
      db.prepare("SELECT count(*) FROM sqlite_schema WHERE name = 'second'").pluck().get(),
    ).toBe(0);
    db.close();
  });

  it('of a newer Fank is refused, with the way out', () => {
    const siteDir = siteFolder();
    stepped(siteDir, [...STEPS, 'CREATE TABLE second (a)']);
    expect(() => openForWriting(siteDir, 'UTC')).toThrow(/newer Fank.*Use that Fank/);
    expect(() => openForReading(siteDir)).toThrow(/use the newer Fank/);
  });
});
