/** Imitates a weigh head from a trace: its bytes, at their own pace, at a port that any program can open. */
import { lstatSync } from 'node:fs';
import { setTimeout as sleep } from 'node:timers/promises';
import { frame } from '../../simulator/frames.ts';
import { openPty, stableName, type Pty } from '../../simulator/pty.ts';
import { timedBytes, type TimedBytes } from '../replay/bytes.ts';
import { profileOf } from '../replay/play.ts';
import type { TraceFile } from '../replay/read.ts';
import { say, WrongUse } from './answer.ts';

/** Whoever is to hear it needs a moment to open the port, ms. */
const LEAD_MS = 2000;
/** What nobody has read yet goes with the port, ms. */
const LINGER_MS = 500;

/**
 * Plays one trace to its end. `name` is a path that is made to point at the port meanwhile.
 * @throws WrongUse where the trace has neither bytes nor readings, or the name is taken.
 */
export async function playToTty(trace: TraceFile, name: string | null): Promise<void> {
  const wire = wireOf(trace);
  const first = wire[0];
  if (first === undefined) {
    throw new WrongUse(`${trace.file}: neither bytes nor readings are in it. Give another trace.`);
  }
  if (name !== null && lstatSync(name, { throwIfNoEntry: false }) !== undefined) {
    throw new WrongUse(`--to-tty ${name}: something is there already. Name a path that is free.`);
  }
  const pty = openPty();
  const link = name === null ? null : stableName(name);
  const ended = new AbortController();
  const end = (): void => {
    ended.abort();
  };
  process.once('SIGINT', end);
  try {
    link?.pointAt(pty.path);
    say(`Set scale.port to ${name ?? pty.path}. It begins in ${LEAD_MS / 1000} s; Ctrl-C ends it.`);
    await write(wire, pty, ended.signal);
    const bytes = wire.reduce((sum, piece) => sum + piece.bytes.length, 0);
    const seconds = ((wire.at(-1)?.t ?? 0) - first.t) / 1000;
    say(`${trace.file}: ${bytes} bytes played in ${seconds.toFixed(1)} s.`);
  } catch (error) {
    if (!ended.signal.aborted) throw error;
  } finally {
    process.off('SIGINT', end);
    link?.remove();
    pty.close();
  }
}

async function write(wire: readonly TimedBytes[], pty: Pty, signal: AbortSignal): Promise<void> {
  const begin = performance.now() + LEAD_MS - (wire[0]?.t ?? 0);
  for (const { t, bytes } of wire) {
    const wait = begin + t - performance.now();
    if (wait > 0) await sleep(wait, undefined, { signal });
    pty.write(bytes);
  }
  await sleep(LINGER_MS, undefined, { signal });
}

function wireOf(trace: TraceFile): TimedBytes[] {
  const bytes = timedBytes(trace, profileOf(trace.header));
  if (bytes.length > 0) return bytes;
  const readings = trace.records.flatMap((record) => ('kg' in record ? [record] : []));
  if (readings.length > 0) {
    say(`${trace.file}: has no bytes; its readings are written in the plain continuous shape.`);
  }
  return readings.map(({ t, kg, motion, status }) => {
    return { t, bytes: Buffer.from(frame(kg, motion ?? false, status), 'latin1') };
  });
}
