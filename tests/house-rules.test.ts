import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { breaches } from './house-rules/tree.ts';

const ROOT = join(import.meta.dirname, '..');

/** What git knows or would take in: generated files and a day's records are nobody's source. */
function ownFiles(): Map<string, string | null> {
  const args = ['ls-files', '-z', '--cached', '--others', '--exclude-standard'];
  const listed = execFileSync('git', args, { cwd: ROOT, encoding: 'utf8' }).split('\0');
  const paths = [...new Set(listed)].filter((path) => path !== '' && existsSync(join(ROOT, path)));
  const read = /^(src|simulator|tests)\/.*\.([cm]?[jt]sx?|css|html)$/;
  return new Map(
    paths.map((path) => [path, read.test(path) ? readFileSync(join(ROOT, path), 'utf8') : null]),
  );
}

/** Breaches of one file that stands in an otherwise sound tree. */
function breachesOf(path: string, text: string): string[] {
  return breaches(new Map([['src/core/trace.ts', 'export const TICK_MS = 20;\n']]).set(path, text));
}

function firstLine(text: string): string {
  return text.split('\n')[0] ?? '';
}

/** A function that takes `lines` lines. */
function longFunction(lines: number): string {
  return `export function f(): void {\n${'  g();\n'.repeat(lines - 2)}}\n`;
}

describe('house rules', () => {
  it('hold in this tree', () => {
    expect(breaches(ownFiles())).toEqual([]);
  });

  it('fail when no module was read', () => {
    expect(breaches(new Map())).toEqual([expect.stringMatching(/^src\/core:1: empty tree: /)]);
    expect(breachesOf('README.md', '')).toEqual([]);
  });

  // Each rule is broken once on purpose, so that it is known to be able to fail.
  for (const [rule, path, text] of [
    ['direction', 'src/core/a.ts', "import { join } from 'node:path';"],
    ['direction', 'src/core/a.ts', "import yaml from 'yaml';"],
    ['direction', 'src/core/a.ts', "import type { Site } from '../config/site.ts';"],
    ['direction', 'src/core/a.ts', "type Site = import('../config/site.ts').Site;"],
    ['direction', 'src/core/a.ts', "export * from '../config/site.ts';"],
    ['direction', 'src/core/a.ts', 'const m = await import(name);'],
    ['direction', 'src/core/cycle/a.ts', "import type { State } from '../weighing/weighing.ts';"],
    ['direction', 'src/core/cycle/a.ts', "import { State as S } from '../weighing/weighing.ts';"],
    ['direction', 'src/core/cycle/a.ts', "import * as w from '../weighing/weighing.ts';"],
    ['direction', 'src/core/cycle/a.ts', "type S = import('../weighing/weighing.ts').State;"],
    ['direction', 'src/core/a.ts', "import type { GateState } from './interlock/interlock.ts';"],
    ['direction', 'src/core/cycle/a.ts', "import { initial } from '../weighing/weighing.ts';"],
    ['direction', 'src/config/a.ts', "import { open } from '../adapters/records/store.ts';"],
    ['direction', 'src/adapters/scale/a.ts', "import type { Row } from '../records/row.ts';"],
    ['direction', 'src/adapters/a.ts', "import { open } from './records/store.ts';"],
    ['direction', 'src/adapters/scale/a.ts', "import { run } from '../../daemon.ts';"],
    ['direction', 'src/version.ts', "import { open } from './adapters/records/store.ts';"],
    ['direction', 'src/daemon.ts', "import { main } from './cli/main.ts';"],
    ['direction', 'src/daemon.ts', "import { race } from '../simulator/race.ts';"],
    ['direction', 'src/cli/run.ts', "import { race } from '../../simulator/race.ts';"],
    ['direction', 'src/cli/run.ts', "import { app } from '../web/app.tsx';"],
    ['direction', 'src/cli/run.ts', "import { lambs } from '../../tests/lambs.ts';"],
    ['direction', 'simulator/a.ts', "import { lambs } from '../tests/lambs.ts';"],
    ['direction', 'src/web/a.tsx', "import { TICK_MS } from '../core/trace.ts';"],
    ['direction', 'src/web/a.tsx', "import { type Exit } from '../core/trace.ts';"],
    ['direction', 'src/web/a.tsx', "import React from 'react';"],
    ['direction', 'simulator/a.ts', "import { run } from '../src/daemon.ts';"],
    ['direction', 'simulator/a.ts', "import { openSync } from 'node:fs';"],
    ['direction', 'simulator/pty.ts', "import { SerialPort } from 'serialport';"],
    ['exact replay', 'src/core/a.ts', 'const a = b ** 2;'],
    ['exact replay', 'src/core/a.ts', 'a **= 2;'],
    ['exact replay', 'src/core/a.ts', 'const a = Math.exp(b);'],
    ['exact replay', 'src/core/a.ts', "const a = Math['exp'](b);"],
    ['exact replay', 'src/core/a.ts', 'const { exp } = Math;'],
    ['exact replay', 'src/core/a.ts', 'const M = Math;'],
    ['exact replay', 'src/core/a.ts', 'const a = [1].map(Math.sin);'],
    ['exact replay', 'simulator/a.ts', 'const a = Math.random();'],
    ['exact replay', 'src/core/a.ts', 'const a = globalThis.Math.exp(b);'],
    ['exact replay', 'src/core/a.ts', 'const a = b.toLocaleString();'],
    ['exact replay', 'src/core/a.ts', "const a = b['toLocaleUpperCase']();"],
    ['exact replay', 'src/core/a.ts', 'const { localeCompare } = name;'],
    ['exact replay', 'src/core/a.ts', 'names.sort((a, b) => a.localeCompare(b));'],
    ['exact replay', 'src/core/a.ts', "const a = new Intl.NumberFormat('en');"],
    ['exact replay', 'src/core/a.ts', 'const a = Date.now();'],
    ['exact replay', 'src/core/a.ts', 'const a = { Date };'],
    ['exact replay', 'simulator/a.ts', 'const a = performance.now();'],
    ['exact replay', 'src/core/a.ts', 'setTimeout(f, 1);'],
    ['exact replay', 'src/core/a.ts', 'setInterval(f, 1);'],
    ['exact replay', 'src/core/a.ts', 'setImmediate(f);'],
    ['exact replay', 'src/core/a.ts', 'queueMicrotask(f);'],
    ['exact replay', 'src/core/a.ts', 'const a = process.env.HOME;'],
    ['exact replay', 'simulator/a.ts', "console.log('a');"],
    ['exact replay', 'src/core/a.ts', 'const a = crypto.randomUUID();'],
    ['function length', 'src/cli/a.ts', longFunction(71)],
    ['function length', 'simulator/a.ts', `const a = [\n${longFunction(71)}];`],
    ['file length', 'src/cli/a.ts', 'f();\n'.repeat(301)],
    ['file length', 'src/web/page.css', 'a {}\n'.repeat(301)],
    ['name', 'src/core/utils.ts', ''],
    ['name', 'tests/helpers/lambs.ts', ''],
    ['name', 'docs/Misc.md', ''],
    ['name', 'src/adapters/common.test.ts', ''],
    ['top level', 'scripts/release.sh', ''],
    ['top level', 'notes.md', ''],
  ] as const) {
    it(`report a breach of ${rule} in ${path}: ${firstLine(text)}`, () => {
      const start = `${rule === 'top level' ? (path.split('/')[0] ?? '') : path}:`;
      const all = breachesOf(path, text);
      expect(all.length).toBeGreaterThan(0);
      for (const one of all) {
        expect(one.startsWith(start)).toBe(true);
        expect(one.slice(start.length)).toMatch(new RegExp(`^\\d+: ${rule}: `));
      }
    });
  }

  it('report a third *.config.* at the top', () => {
    const names = ['src/core/a.ts', 'a.config.js', 'b.config.ts', 'c.config.mjs'];
    const files = (paths: string[]) => new Map(paths.map((path) => [path, '']));
    expect(breaches(files(names.slice(0, 3)))).toEqual([]);
    expect(breaches(files(names))).toEqual(['c.config.mjs:1: top level: at most 2 *.config.*']);
  });

  it('name the line', () => {
    expect(breachesOf('src/core/a.ts', '// one\n\nconst a =\n  Math.PI;\n')).toEqual([
      expect.stringMatching(/^src\/core\/a\.ts:4: exact replay: Math\.PI /),
    ]);
  });

  // What is sound must pass, or the rules would be switched off in the end.
  for (const [path, text] of [
    ['src/core/a.ts', "import type { Exit } from './trace.ts';\nconst a = Math.sqrt(b) * 2;"],
    ['src/core/cycle/a.ts', "import { decide } from '../sortplan/decide.ts';"],
    ['src/core/step.ts', "import { initial, type State } from './weighing/weighing.ts';"],
    ['src/core/a.ts', 'const a = { process: 1, Date: 2 };\nconst b = a.process;'],
    [
      'src/config/a.ts',
      "import { parse } from 'yaml';\nimport { TICK_MS } from '../core/trace.ts';",
    ],
    ['src/adapters/scale/a.ts', "import { startThread } from '../thread.ts';\nimport './line.ts';"],
    ['src/adapters/scale/a.ts', 'const a = Date.now() ** 2;'],
    ['src/daemon.ts', "import { open } from './adapters/records/store.ts';"],
    ['src/cli/demo.ts', "import { race } from '../../simulator/race.ts';"],
    ['simulator/pty.ts', "import koffi from 'koffi';\nimport { openSync } from 'node:fs';"],
    ['src/web/a.tsx', "import type { Exit } from '../core/trace.ts';\nimport { h } from 'preact';"],
    ['src/cli/a.ts', longFunction(70)],
    ['src/cli/a.ts', 'f();\n'.repeat(300)],
    ['tests/a.test.ts', longFunction(400)],
    ['.github/notes.yaml', ''],
  ] as const) {
    it(`let ${path} be: ${firstLine(text)}`, () => {
      expect(breachesOf(path, text)).toEqual([]);
    });
  }
});
