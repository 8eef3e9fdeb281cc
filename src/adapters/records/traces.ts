import type { FromWorker, TraceMessage, TracePlace, WorkerOptions } from './messages.ts';
import {
  capTraces,
  compressFinished,
  newTrace,
  resumeTrace,
  traceDir,
  type TraceFile,
} from './trace-file.ts';
import { inWords } from './trouble.ts';

/** A card writes whole blocks; one that is written when it is full is written once. */
const BLOCK = 4096;

/** Lines on their way into the trace file. */
export interface Traces {
  push: (seq: number, message: TraceMessage) => void;
  /**
   * Writes whole blocks, and with `all` what is left over. A crossing is written whole; a fault, a
   * stop, a person's mark and the end of a file are synced too. @throws in words; what is not written
   * is kept.
   */
  write: (all: boolean) => void;
  /** Something is left over. */
  waiting: () => boolean;
  close: () => void;
}

type Rotate = Extract<TraceMessage, { kind: 'rotate' }>;
interface Item {
  seq: number;
  data: Buffer;
  keep: Keep;
  rotate: Rotate | null;
}

export function openTraces(options: WorkerOptions, answer: (answer: FromWorker) => void): Traces {
  let pending: Item[] = [];
  /** Where the first pending line begins. */
  let place = options.resume;
  let file: TraceFile | null = null;
  let start = { header: options.header, state: options.state };
  const keepHouse = houseKeeping(options);

  const opened = (): TraceFile => {
    if (file !== null) return file;
    file =
      place === null ? newTrace(options.siteDir, start.header, start.state) : resumeTrace(place);
    place = placeOf(file);
    keepHouse(file.file);
    return file;
  };
  const done = (items: Item[], trace: TracePlace): void => {
    place = trace;
    pending = pending.slice(items.length);
    const last = items.at(-1);
    if (last !== undefined) answer({ kind: 'lines', upTo: last.seq, trace });
  };
  /** Writes into the current file; true if that ended it and more belongs into the next. */
  const writeSome = (all: boolean): boolean => {
    const current = opened();
    const from = place?.bytes ?? 0;
    const end = pending.findIndex(({ rotate }) => rotate !== null);
    const lines = end < 0 ? pending : pending.slice(0, end);
    const data = Buffer.concat(lines.map((line) => line.data));
    const to = from + data.length;
    const synced = end >= 0 || lines.some(({ keep }) => keep === 'synced');
    const whole = synced || lines.some(({ keep }) => keep === 'written');
    current.write(data, from, all || whole ? to : to - (to % BLOCK));
    if (synced) current.sync();
    const written = upTo(lines, current.length() - from);
    done(written.lines, { file: current.file, bytes: from + written.bytes });
    return rotated(current);
  };
  /** Ends the file where a rotation is next. */
  const rotated = (current: TraceFile): boolean => {
    const [next] = pending;
    if (!next?.rotate) return false;
    current.close();
    [file, place, start] = [null, null, next.rotate];
    pending = pending.slice(1);
    answer({ kind: 'lines', upTo: next.seq, trace: placeOf(opened()) });
    return true;
  };
  return {
    push: (seq, message) => {
      const rotate = message.kind === 'rotate' ? message : null;
      pending.push({ seq, data: dataOf(message), keep: keepOf(message), rotate });
    },
    write: (all) => {
      try {
        while (writeSome(all));
      } catch (error) {
        file?.close();
        file = null;
        throw new Error(inWords(error, place?.file ?? traceDir(options.siteDir)), { cause: error });
      }
    },
    waiting: () => pending.length > 0,
    close: () => {
      file?.sync();
      file?.close();
      file = null;
    },
  };
}

function placeOf(file: TraceFile): TracePlace {
  return { file: file.file, bytes: file.length() };
}

function dataOf(message: TraceMessage): Buffer {
  return Buffer.from(message.kind === 'line' ? `${JSON.stringify(message.record)}\n` : '');
}

/** The first lines that together are no longer than `bytes`. */
function upTo(lines: Item[], bytes: number): { lines: Item[]; bytes: number } {
  let [n, sum] = [0, 0];
  for (const { data } of lines) {
    if (sum + data.length > bytes) break;
    sum += data.length;
    n += 1;
  }
  return { lines: lines.slice(0, n), bytes: sum };
}

/** How soon a line must be safe: with its block, from a death of the program, from a power cut. */
type Keep = 'block' | 'written' | 'synced';

/**
 * What a fault, a stop or a mark leaves must be on the card even if the next thing is the power going;
 * with each crossing the file is whole, and the system puts it on the card in its own time.
 */
export function keepOf(message: TraceMessage): Keep {
  if (message.kind === 'rotate') return 'synced';
  const { event, command } = message.record as {
    event?: { kind: string; on?: boolean; mode?: string };
    command?: { do: string };
  };
  if (event?.kind === 'fault' && event.on === true) return 'synced';
  if (event?.kind === 'mode' && (event.mode === 'stopped' || event.mode === 'fault'))
    return 'synced';
  if (command?.do === 'mark') return 'synced';
  return event?.kind === 'left' ? 'written' : 'block';
}

/** Compresses finished traces and keeps all within their limit, one run at a time. */
function houseKeeping(options: WorkerOptions): (current: string) => void {
  let running = Promise.resolve();
  return (current) => {
    running = running
      .then(async () => {
        capTraces(options.siteDir, current, options.maxTraceBytes);
        await compressFinished(options.siteDir, current);
      })
      // Not worth holding the race for: what is left over is seen to when the next trace begins.
      .catch(() => undefined);
  };
}
