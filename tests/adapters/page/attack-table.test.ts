/** The attack table in `docs/security.md` against the tests that exist. */
import { readdirSync, readFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { expect, test } from 'vitest';

const ROOT = join(import.meta.dirname, '../../..');
/** Tests of these files are attacks, every one of them. */
const ATTACKS = /^(operator-)?attack(?!-table)[\w-]*\.test\.ts$/;

/** What the tests of a file are called, as they are written. */
function titlesIn(text: string): string[] {
  const calls = /^\s*(?:test|\]\))\(\s*(?:'((?:[^'\\]|\\.)*)'|"((?:[^"\\]|\\.)*)")/gm;
  const each = /^\s*\]?\)\(\s*(?:'((?:[^'\\]|\\.)*)'|"((?:[^"\\]|\\.)*)"),/gm;
  const lined = /^\s*test\.each\([^\n]*\]\)\(\s*(?:'((?:[^'\\]|\\.)*)'|"((?:[^"\\]|\\.)*)"),/gm;
  return [calls, each, lined].flatMap((kind) =>
    [...text.matchAll(kind)].map(([, single, double]) =>
      (single ?? double ?? '').replace(/\\(.)/g, '$1'),
    ),
  );
}

/** `file: title` of every test of a file that the table may name. */
function existing(): Set<string> {
  const paths = readdirSync(join(ROOT, 'tests'), { recursive: true, encoding: 'utf8' });
  const found = paths
    .filter((path) => path.endsWith('.test.ts'))
    .flatMap((path) =>
      titlesIn(readFileSync(join(ROOT, 'tests', path), 'utf8')).map(
        (title) => `${basename(path)}: ${title}`,
      ),
    );
  return new Set(found);
}

/** Last column of the table. */
function named(): string[] {
  const text = readFileSync(join(ROOT, 'docs/security.md'), 'utf8');
  const rows = text
    .split('\n')
    .filter((line) => /^\| [^-]/.test(line) && !line.includes('| test |'));
  return rows.map((row) => {
    const last = row.split('|').at(-2)?.trim() ?? '';
    return last.replace(/^`([^`]+)`/, '$1');
  });
}

test('every row names a test that exists, and every test of an attack has its row', () => {
  const rows = named();
  const tests = existing();
  expect(rows.length).toBeGreaterThan(25);
  expect(rows.filter((row) => !tests.has(row))).toEqual([]);
  const attacks = [...tests].filter((one) => ATTACKS.test(one.split(':')[0] ?? ''));
  expect(attacks.length).toBeGreaterThan(25);
  expect(attacks.filter((one) => !rows.includes(one))).toEqual([]);
});
