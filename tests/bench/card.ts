/**
 * What an animal costs the card: the whole service (weigh head on a real tty at 10 readings a second,
 * gate, day book, trace, page) on the demo's race in real time, and `write_bytes` of its
 * `/proc/PID/io` from the third animal saved, when every file is there, to the last.
 * `npx tsx tests/bench/card.ts [ANIMALS] [FOLDER] [COMPILED-MAIN.js]`; FOLDER lies on the file system
 * that is meant. Ends with one JSON line.
 */
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { cpus, release } from 'node:os';
import { join } from 'node:path';
import { setTimeout as after } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import type { LiveNow } from '../../src/adapters/page/messages.ts';

const [animals = '30', folder = '.', compiled] = process.argv.slice(2);
const source = fileURLToPath(new URL('../../src/cli/main.ts', import.meta.url));
const FANK = compiled === undefined ? ['--import', 'tsx', source] : [compiled];
const FIRST = 3;
const LAST = Number(animals);
const LOOK_MS = 200;

const siteDir = mkdtempSync(join(folder, 'fank-card-'));

/** The service on its race; settles with the address of its page. */
function start(): Promise<{ child: ChildProcess; url: string }> {
  const given = ['--animals', '100000', '--exit', '--pace', '1', '--seed', '5', '--port', '0'];
  const args = [...FANK, 'demo', ...given, '--json', '--site', siteDir];
  const child = spawn(process.execPath, args, { stdio: ['ignore', 'ignore', 'pipe'] });
  return new Promise((resolve, reject) => {
    let text = '';
    child.stderr.on('data', (data: Buffer) => {
      text += data.toString();
      const port = /Page: http:\/\/[^:]+:(\d+)\//.exec(text)?.[1];
      if (port !== undefined) resolve({ child, url: `http://127.0.0.1:${port}` });
    });
    child.on('exit', (code) => {
      reject(new Error(`Fank ended by itself with ${String(code)}: ${text}`));
    });
  });
}

interface Look {
  /** Bytes that the process had written, and in `traces/`. */
  written: number;
  traces: number;
  atMs: number;
}

function look(pid: number): Look {
  const io = readFileSync(`/proc/${String(pid)}/io`, 'utf8');
  const dir = join(siteDir, 'traces');
  const sizes = readdirSync(dir).map((name) => statSync(join(dir, name)).size);
  return {
    written: Number(/^write_bytes: (\d+)$/m.exec(io)?.[1]),
    traces: sizes.reduce((sum, size) => sum + size, 0),
    atMs: performance.now(),
  };
}

/** Waits until the page shows this animal as saved, or a later one. */
async function saved(url: string, animal: number): Promise<void> {
  for (;;) {
    const answer = await fetch(`${url}/api/now`);
    const { now } = (await answer.json()) as { now: LiveNow | null };
    if (now?.last.some((one) => one.saved && one.animal >= animal) === true) return;
    await after(LOOK_MS);
  }
}

const { child, url } = await start();
const pid = child.pid ?? 0;
try {
  await saved(url, FIRST);
  const begun = look(pid);
  await saved(url, LAST);
  const ended = look(pid);
  const each = (of: (at: Look) => number): number =>
    Math.round((of(ended) - of(begun)) / (LAST - FIRST));
  const result = {
    head: LAST - FIRST,
    secondsEach: each(({ atMs }) => atMs) / 1000,
    bytesEach: each(({ written }) => written),
    traceBytesEach: each(({ traces }) => traces),
  };
  const machine = { node: process.version, processor: cpus()[0]?.model, kernel: release() };
  process.stdout.write(`${JSON.stringify({ ...result, ...machine })}\n`);
} finally {
  child.removeAllListeners('exit');
  child.kill('SIGKILL');
  rmSync(siteDir, { recursive: true, force: true });
}
