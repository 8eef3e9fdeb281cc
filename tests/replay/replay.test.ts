import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { oneLamb, script } from './scripted.ts';

let folder = '';
let lambs = '';

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-replay-'));
  lambs = file('lambs', threeLambs().text());
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

function threeLambs() {
  const s = script(['frontShut']).weigh(0, 100).input('frontShut', true).weigh(0, 2500);
  for (const kg of [38.2, 42.6, 47.1]) oneLamb(s, kg);
  return s;
}

function file(name: string, text: string): string {
  const path = join(folder, `${name}.trace.ndjson`);
  writeFileSync(path, text);
  return path;
}

function fank(...args: string[]) {
  const cli = join(import.meta.dirname, '../../src/cli/fank.js');
  const { status, stdout, stderr } = spawnSync(process.execPath, [cli, ...args], {
    encoding: 'utf8',
    cwd: folder,
  });
  const lines = stdout.split('\n').filter((line) => line !== '');
  return { status, stdout, stderr, json: () => lines.map((l) => JSON.parse(l) as Animal) };
}

type Animal = Record<string, unknown>;

describe('fank replay on a trace that names no site', () => {
  test('gives each animal its lot and exit, in the fields of the contract', () => {
    const { status, json } = fank('replay', lambs, '--json');
    expect(status).toBe(0);
    const animals = json();
    expect(animals.map((a) => [a['animal'], a['lot'], a['exit'], a['flags']])).toEqual([
      [1, 'Stores', 'left', []],
      [2, 'Fit', 'ahead', []],
      [3, 'Heavy', 'right', []],
    ]);
    expect(Object.keys(animals[0] ?? {})).toEqual([
      ...['trace', 'animal', 'enteredAt', 'firstDecidedAt', 'decidedAt', 'letGoAt', 'leftAt'],
      ...['lot', 'exit', 'decisionKg', 'recordedKg', 'uncertaintyKg', 'rule', 'reason'],
      ...['revisions', 'unsure', 'flags'],
    ]);
    for (const [i, kg] of [38.2, 42.6, 47.1].entries()) {
      expect(animals[i]?.['recordedKg']).toBeCloseTo(kg, 1);
      expect(animals[i]?.['revisions']).toBe(0);
    }
  });

  test('prints an animal that is still on at the end', () => {
    const s = script(['frontShut']).weigh(0, 100).input('frontShut', true).weigh(0, 2500);
    const on = file('on', s.ramp(0, 42.6, 400).weigh(42.6, 3000).text());
    const [animal] = fank('replay', on, '--json').json();
    expect(animal).toMatchObject({ lot: 'Fit', exit: 'ahead', letGoAt: null, leftAt: null });
  });

  test('the same trace gives the same bytes, and its result verifies as equal', () => {
    const [a, b] = [join(folder, 'a.trace.ndjson'), join(folder, 'b.trace.ndjson')];
    fank('replay', lambs, '--out', a);
    fank('replay', lambs, '--out', b);
    expect(readFileSync(a).equals(readFileSync(b))).toBe(true);
    expect(fank('replay', a, '--verify')).toMatchObject({ status: 0 });
  });

  test('a changed output is found at its time, with exit 1', () => {
    const out = join(folder, 'c.trace.ndjson');
    fank('replay', lambs, '--out', out);
    const text = readFileSync(out, 'utf8');
    const line = /\{"t":(\d+),"output":"leafA.extend","on":true\}/.exec(text);
    expect(line).not.toBeNull();
    const moved = file('moved', text.replace(line?.[0] ?? '', ''));
    const { status, stderr } = fank('replay', moved, '--verify');
    expect(status).toBe(1);
    expect(stderr).toContain(`differs at t ${line?.[1] ?? ''}`);
  });

  test('another cut sends other animals elsewhere, and says which', () => {
    const { status, stdout } = fank('replay', lambs, '--vary', 'plan.lots.0.belowKg=38');
    expect(status).toBe(0);
    expect(stdout).toContain('changed: animal 1: Stores → Fit');
    expect(stdout).toContain('1 of 3 animal(s)');
  });
});

describe('what is wrong is said and loses nothing', () => {
  test('unknown records, a broken line and a cut-off end are reported; the rest counts', () => {
    const text = threeLambs().text().split('\n');
    text.splice(3, 0, '{"t":200,"humidity":80}', '{"t":200,');
    const odd = file('odd', text.join('\n').slice(0, -9));
    const { status, stderr, json } = fank('replay', odd, '--json');
    expect(status).toBe(0);
    expect(json().map((a) => a['lot'])).toEqual(['Stores', 'Fit', 'Heavy']);
    expect(stderr).toMatch(/1 record\(s\) of an unknown kind \{t,humidity\}/);
    expect(stderr).toMatch(/odd\.trace\.ndjson:5:1: not a JSON object; left out/);
    expect(stderr).toContain('the last line is cut off');
  });

  test('a trace cut at any byte of its last record still replays', () => {
    const text = script(['frontShut']).weigh(0, 500).text();
    const last = text.trimEnd().lastIndexOf('\n') + 1;
    const status = [];
    for (let cut = last; cut < text.length; cut += 5) {
      status.push(fank('replay', file('cut', text.slice(0, cut)), '--json').status);
    }
    expect(new Set(status)).toEqual(new Set([0]));
  });

  test.each([
    ['no file', ['replay', 'nowhere.trace.ndjson'], /nowhere.*cannot be read.*Check/s],
    ['no header', ['replay', 'HEADLESS'], /:1:1: .*"trace":1.*Give/],
    ['a path that leads nowhere', ['replay', 'LAMBS', '--vary', 'plan.cut=3'], /no "cut".*lots/],
    [
      'a cut that no plan may have',
      ['replay', 'LAMBS', '--vary', 'plan.lots.0.belowKg=46'],
      /--vary plan\.lots\.1\.belowKg: overlap: all below 45 kg.*Order the lots/,
    ],
    ['--verify with --vary', ['replay', 'LAMBS', '--verify', '--vary', 'a=1'], /leave them out/],
    ['--verify of a trace by others', ['replay', 'LAMBS', '--verify'], /not a recording by Fank/],
    ['an unknown command', ['reply'], /unknown command/],
  ])('%s: exit 2 and what to do', (_name, args, words) => {
    const headless = file('headless', '{"t":0,"kg":1}\n');
    const given = args.map((a) => (a === 'LAMBS' ? lambs : a === 'HEADLESS' ? headless : a));
    const { status, stderr, stdout } = fank(...given);
    expect(status).toBe(2);
    expect(stderr).toMatch(words);
    expect(stdout).toBe('');
  });
});
