import { spawn } from 'node:child_process';
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gunzipSync } from 'node:zlib';
import Database from 'better-sqlite3';
import { kgOf } from './kg-of.ts';

/** What a site's records were told and have confirmed, over all runs of a trial. */
export interface Told {
  sent: Set<number>;
  saved: Set<number>;
}

/** When to kill: on entering the n-th call of one kind in a thread, or at a word of the victim. */
export type When = { syscall: string; n: number } | { sent: number; thenMs: number };

/** How the victim is run: a command and what comes before SITE FIRST COUNT. */
export const VICTIM = [
  process.execPath,
  '--import',
  'tsx',
  fileURLToPath(new URL('./victim.ts', import.meta.url)),
];

/** Runs the victim on a folder until it is killed; false if it came to its end before. */
export function runAndKill(
  siteDir: string,
  told: Told,
  when: When,
  count = 8,
  victim = VICTIM,
): Promise<boolean> {
  const first = Math.max(0, ...told.sent) + 1;
  const trace = 'syscall' in when ? straced(when) : [];
  const [command, ...args] = [...trace, ...victim, siteDir, String(first), String(count)];
  const child = spawn(command, args, { stdio: ['ignore', 'pipe', 'inherit'] });
  let text = '';
  child.stdout.on('data', (data: Buffer) => {
    text += data.toString();
    const lines = text.split('\n');
    text = lines.pop() ?? '';
    for (const line of lines) {
      const [word, animal] = line.split(' ');
      if (word === 'sent') told.sent.add(Number(animal));
      if (word === 'saved') told.saved.add(Number(animal));
      if ('sent' in when && line === `sent ${first + when.sent}`) {
        setTimeout(() => child.kill('SIGKILL'), when.thenMs);
      }
    }
  });
  return new Promise((resolve, reject) => {
    child.on('error', reject);
    child.on('close', (code, signal) => {
      if (code === 0) resolve(false);
      else if (signal === 'SIGKILL') resolve(true);
      else reject(new Error(`the victim ended by itself with ${code ?? signal}`));
    });
  });
}

function straced({ syscall, n }: { syscall: string; n: number }): string[] {
  return [
    'strace',
    '-f',
    '-qq',
    '-o',
    '/dev/null',
    '-e',
    `trace=${syscall}`,
    '-e',
    `inject=${syscall}:signal=KILL:when=${n}`,
  ];
}

/** What a look through the folder found wrong; nothing, if all is well. */
export function findings(siteDir: string, told: Told): string[] {
  const db = new Database(join(siteDir, 'fank.db'));
  try {
    if (
      (db
        .prepare("SELECT count(*) FROM sqlite_schema WHERE name = 'crossing'")
        .pluck()
        .get() as number) === 0
    )
      return told.saved.size === 0 ? [] : ['the day book is empty'];
    const integrity = db.pragma('integrity_check', { simple: true });
    const rows = db.prepare('SELECT animal, recorded_kg AS kg FROM crossing ORDER BY id').all() as {
      animal: number;
      kg: number;
    }[];
    const there = rows.map(({ animal }) => animal);
    const total = db
      .prepare('SELECT coalesce(sum(recorded_kg), 0) FROM crossing')
      .pluck()
      .get() as number;
    const should = there.reduce((sum, animal) => sum + kgOf(animal), 0);
    return [
      ...(integrity === 'ok' ? [] : [`integrity: ${String(integrity)}`]),
      ...[...told.saved]
        .filter((animal) => !there.includes(animal))
        .map((animal) => `${animal} was confirmed and is lost`),
      ...there
        .filter((animal) => !told.sent.has(animal))
        .map((animal) => `${animal} was never sent`),
      ...(new Set(there).size === there.length ? [] : ['one is there twice']),
      ...(Math.abs(total - should) < 1e-6 ? [] : [`total ${total} kg, should be ${should} kg`]),
      ...traceFindings(siteDir),
    ];
  } finally {
    db.close();
  }
}

/** Every trace is whole lines of JSON, but for a last one that may be cut off. */
export function traceFindings(siteDir: string): string[] {
  const dir = join(siteDir, 'traces');
  if (!existsSync(dir)) return [];
  return readdirSync(dir).flatMap((name) => {
    if (name.endsWith('.part')) return [];
    const data = readFileSync(join(dir, name));
    const lines = (name.endsWith('.gz') ? gunzipSync(data) : data)
      .toString()
      .split('\n')
      .slice(0, -1);
    try {
      for (const line of lines) JSON.parse(line);
      return [];
    } catch {
      return [`${name}: a line in it is no JSON`];
    }
  });
}
