import {
  closeSync,
  createReadStream,
  createWriteStream,
  existsSync,
  fdatasyncSync,
  ftruncateSync,
  mkdirSync,
  openSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { basename, join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { createGzip } from 'node:zlib';
import type { TraceHeader } from '../../core/trace.ts';
import type { TracePlace } from './messages.ts';

/** The trace file that is being written. */
export interface TraceFile {
  file: string;
  /** Length of the file, bytes. */
  length(): number;
  /**
   * Writes `data`, which belongs at `from`, as far as `to`. What is there already is left out, so
   * the same data may be given again after an error. @throws what the disk says.
   */
  write(data: Buffer, from: number, to: number): void;
  sync(): void;
  close(): void;
}

const ENDING = '.trace.ndjson';

/** The folder of a site's traces. */
export function traceDir(siteDir: string): string {
  return join(siteDir, 'traces');
}

/** Opens a new trace and writes its header and its first record, the state at t = 0. */
export function newTrace(siteDir: string, header: TraceHeader, state: unknown): TraceFile {
  const dir = traceDir(siteDir);
  mkdirSync(dir, { recursive: true });
  const file = freeName(dir, header.startedAt);
  const trace = writer({ file, bytes: 0 }, openSync(file, 'wx'));
  const start = Buffer.from(`${JSON.stringify(header)}\n${JSON.stringify({ t: 0, state })}\n`);
  try {
    trace.write(start, 0, start.length);
  } catch (error) {
    // A trace without its header is of no use, and its name is wanted for the next attempt.
    trace.close();
    rmSync(file, { force: true });
    throw error;
  }
  return trace;
}

/** Carries on with a trace that another thread left; what it wrote past `place` is cut off. */
export function resumeTrace(place: TracePlace): TraceFile {
  const fd = openSync(place.file, 'r+');
  ftruncateSync(fd, place.bytes);
  return writer(place, fd);
}

function writer({ file, bytes }: TracePlace, fd: number): TraceFile {
  let length = bytes;
  return {
    file,
    length: () => length,
    write: (data, from, to) => {
      // By position: what a failed write left half-done is written over by the next attempt.
      while (length < to) length += writeSync(fd, data, length - from, to - length, length);
    },
    sync: () => {
      fdatasyncSync(fd);
    },
    close: () => {
      closeSync(fd);
    },
  };
}

/** `<UTC start>.trace.ndjson`, without colons for the sake of memory sticks. */
function freeName(dir: string, startedAt: string | null): string {
  const stem =
    startedAt === null ? 'clock-not-set' : startedAt.replace(/\.\d+Z$/, 'Z').replaceAll(':', '-');
  for (let n = 1; ; n += 1) {
    const path = join(dir, `${stem}${n === 1 ? '' : `.${n}`}${ENDING}`);
    if (!existsSync(path) && !existsSync(`${path}.gz`)) return path;
  }
}

/** Compresses every finished trace (all but `current`), each by way of a name of its own. */
export async function compressFinished(siteDir: string, current: string): Promise<void> {
  const dir = traceDir(siteDir);
  for (const name of readdirSync(dir)) {
    const path = join(dir, name);
    if (name.endsWith('.part')) rmSync(path, { force: true });
    if (!name.endsWith(ENDING) || name === basename(current)) continue;
    await pipeline(
      createReadStream(path),
      createGzip(),
      createWriteStream(`${path}.gz.part`, { flush: true }),
    );
    renameSync(`${path}.gz.part`, `${path}.gz`);
    rmSync(path);
  }
}

/** Deletes the oldest traces, never `current`, until all together are within `maxBytes`. */
export function capTraces(siteDir: string, current: string, maxBytes: number): string[] {
  const dir = traceDir(siteDir);
  const files = readdirSync(dir)
    .filter((name) => name.endsWith(ENDING) || name.endsWith(`${ENDING}.gz`))
    .map((name) => {
      const { size, mtimeMs } = statSync(join(dir, name));
      return { path: join(dir, name), size, mtimeMs };
    })
    .sort((a, b) => a.mtimeMs - b.mtimeMs);
  let total = files.reduce((sum, file) => sum + file.size, 0);
  const deleted: string[] = [];
  for (const file of files) {
    if (total <= maxBytes) break;
    if (basename(file.path) === basename(current)) continue;
    rmSync(file.path);
    total -= file.size;
    deleted.push(file.path);
  }
  return deleted;
}
