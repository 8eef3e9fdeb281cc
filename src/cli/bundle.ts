import { execFile } from 'node:child_process';
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { hostname, release, tmpdir, totalmem } from 'node:os';
import { join, resolve } from 'node:path';
import { promisify } from 'node:util';
import type { Command } from 'commander';
import { NoBook, openForReading } from '../adapters/records/reader.ts';
import { printJson, say, WrongUse } from './answer.ts';
import { checks } from './check-site.ts';
import type { Check } from './check-line.ts';
import { version } from './version.ts';

/** What a technician needs of a site folder. What is not named here stays out: PINs, the day book. */
const SETTINGS = ['site.yaml', 'fitting.json', 'plans', 'profiles'];
/** Faults and stops of the last entries of the day book. */
const EVENTS = 2000;
/** The newest traces, up to this much together, bytes. */
const TRACES = 20e6;

const EXAMPLES = `
The file holds configuration, versions, checks, faults and the last traces. PINs, keys and the day book
stay out; a trace holds the tags and weights of its hour.

Examples:
  fank bundle                           fank-bundle-<time>.tar.gz here
  fank bundle --out /media/stick/a.tar.gz`;

interface Options {
  site: string;
  out?: string;
  json?: true;
}

/** Registers `fank bundle`. */
export function bundleCommand(program: Command): void {
  program
    .command('bundle')
    .description('puts what a technician needs to look for a fault into one file')
    .option('--site <dir>', 'site folder', './fank-site')
    .option('--out <file>', 'the file to write; one with the time in its name if not said')
    .option('--json', 'only JSON on stdout')
    .addHelpText('after', EXAMPLES)
    .action(bundle);
}

async function bundle({ site, out, json }: Options): Promise<void> {
  if (!existsSync(join(site, 'site.yaml'))) {
    throw new WrongUse(`${site}: no site.yaml there. Name the site folder with --site DIR.`);
  }
  const stamp = new Date().toISOString().replaceAll(/[-:]|\.\d+/g, '');
  const file = resolve(out ?? `fank-bundle-${stamp}.tar.gz`);
  if (existsSync(file)) throw new WrongUse(`${file} is there already. Name another with --out.`);
  const scratch = mkdtempSync(join(tmpdir(), 'fank-bundle-'));
  try {
    const folder = join(scratch, 'fank-bundle');
    mkdirSync(folder);
    await fill(folder, site);
    await promisify(execFile)('tar', ['-czf', file, '-C', scratch, 'fank-bundle']);
  } catch (error) {
    rmSync(file, { force: true });
    const why = error instanceof Error ? error.message : String(error);
    throw new WrongUse(`No bundle was made: ${why}`, { cause: error });
  } finally {
    rmSync(scratch, { recursive: true, force: true });
  }
  const { size } = statSync(file);
  if (json === true) printJson({ file, bytes: size });
  else say(`${file}: ${Math.round(size / 1000)} kB. PINs and the day book are not in it.`);
}

async function fill(folder: string, site: string): Promise<void> {
  const put = (name: string, value: unknown): void => {
    writeFileSync(join(folder, name), `${JSON.stringify(value, null, 2)}\n`);
  };
  for (const name of SETTINGS) {
    const from = join(site, name);
    if (existsSync(from)) cpSync(from, join(folder, name), { recursive: true });
  }
  put('versions.json', {
    fank: version(),
    node: process.version,
    machine: `${hostname()} ${process.platform} ${process.arch} ${release()}`,
    memoryMb: Math.round(totalmem() / 1e6),
  });
  const checked: Check[] = [];
  for await (const one of checks(site)) checked.push(one);
  put('checks.json', checked);
  put('events.json', lastEvents(site));
  mkdirSync(join(folder, 'traces'));
  for (const name of lastTraces(join(site, 'traces'))) {
    cpSync(join(site, 'traces', name), join(folder, 'traces', name));
  }
}

/** Modes, faults and refusals as the day book has them, oldest first; empty without a day book. */
function lastEvents(site: string): unknown {
  try {
    const db = openForReading(site);
    try {
      const newest = db
        .prepare('SELECT at_ms, clock_set, kind, detail FROM event ORDER BY n DESC LIMIT ?')
        .all(EVENTS) as { at_ms: number; clock_set: number; kind: string; detail: string }[];
      return newest.reverse().map(({ at_ms, clock_set, kind, detail }) => ({
        at: new Date(at_ms).toISOString(),
        clockSet: clock_set === 1,
        kind,
        detail: JSON.parse(detail) as unknown,
      }));
    } finally {
      db.close();
    }
  } catch (error) {
    if (error instanceof NoBook) return [];
    throw error;
  }
}

/** The newest traces that fit together, by their times of writing. */
function lastTraces(folder: string): string[] {
  if (!existsSync(folder)) return [];
  const newest = readdirSync(folder)
    .map((name) => ({ name, file: statSync(join(folder, name)) }))
    .sort((a, b) => b.file.mtimeMs - a.file.mtimeMs);
  let bytes = 0;
  return newest.filter(({ file }) => (bytes += file.size) <= TRACES).map(({ name }) => name);
}
