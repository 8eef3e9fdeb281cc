import type { FromWorker, Queued, TraceMessage, WorkerOptions } from './messages.ts';
import {
  capTraces,
  compressFinished,
  newTrace,
  resumeTrace,
  traceDir,
  type TraceFile,
} from './trace-file.ts';
import { inWords } from './trouble.ts';

/** Lines on their way into the trace file. */
export interface Traces {
  push: (seq: number, message: TraceMessage) => void;
  /** Hands everything pushed so far to the file. @throws in words; the lines are kept. */
  write: () => void;
  close: () => void;
}

export function openTraces(options: WorkerOptions, answer: (answer: FromWorker) => void): Traces {
  let pending: Queued<TraceMessage>[] = [];
  let place = options.resume;
  let file: TraceFile | null = null;
  let start = { header: options.header, state: options.state };
  const keepHouse = houseKeeping(options);

  const opened = (): TraceFile => {
    if (file !== null) return file;
    file =
      place === null ? newTrace(options.siteDir, start.header, start.state) : resumeTrace(place);
    place = file.place();
    keepHouse(place.file);
    return file;
  };
  /** Writes the lines up to the next rotation and rotates; says how far it came. */
  const writeSome = (): void => {
    const current = opened();
    const at = pending.findIndex((queued) => queued.message.kind === 'rotate');
    const batch = at < 0 ? pending : pending.slice(0, at);
    if (batch.length > 0) current.append(batch.map(({ message }) => lineOf(message)).join(''));
    place = current.place();
    const rotate = at < 0 ? null : pending[at];
    pending = pending.slice(batch.length + (rotate ? 1 : 0));
    if (rotate?.message.kind === 'rotate') {
      current.sync();
      current.close();
      [file, place, start] = [null, null, rotate.message];
    } else if (batch.some(({ message }) => isFault(message))) current.sync();
    const upTo = (rotate ?? batch.at(-1))?.seq;
    if (upTo !== undefined) answer({ kind: 'lines', upTo, trace: opened().place() });
  };
  return {
    push: (seq, message) => {
      pending.push({ kind: 'queued', seq, message });
    },
    write: () => {
      try {
        do writeSome();
        while (pending.length > 0);
      } catch (error) {
        file?.close();
        file = null;
        throw new Error(inWords(error, place?.file ?? traceDir(options.siteDir)), { cause: error });
      }
    },
    close: () => {
      file?.sync();
      file?.close();
      file = null;
    },
  };
}

function lineOf(message: TraceMessage): string {
  return message.kind === 'line' ? `${JSON.stringify(message.record)}\n` : '';
}

/** The trace that a fault leaves must be on the card even if the next thing is the power going. */
export function isFault(message: TraceMessage): boolean {
  if (message.kind === 'rotate') return false;
  const { event } = message.record as { event?: { kind: string; on?: boolean } };
  return event?.kind === 'fault' && event.on === true;
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
