import type Database from 'better-sqlite3';
import type { FromWorker, Queued, RowMessage, WorkerOptions } from './messages.ts';
import { lastWeights } from './last-weights.ts';
import { bookPath, openForWriting } from './schema.ts';
import { openStore, type Store } from './store.ts';
import { inWords, isRefusal } from './trouble.ts';

/** Rows on their way into the database. */
export interface Rows {
  push: (seq: number, message: RowMessage) => void;
  /** Commits everything pushed so far and answers for it. @throws in words; the rows are kept. */
  write: () => void;
  close: () => void;
}

export function openRows(options: WorkerOptions, answer: (answer: FromWorker) => void): Rows {
  let pending: Queued<RowMessage>[] = [];
  let open: { db: Database.Database; store: Store } | null = null;
  let told = false;

  const opened = (): { db: Database.Database; store: Store } => {
    if (open !== null) return open;
    const db = openForWriting(options.siteDir, options.zone);
    open = { db, store: openStore(db, options.zone, options.version) };
    if (!told) {
      const { id } = db.prepare('SELECT id FROM site').get() as { id: string };
      answer({ kind: 'ready', siteId: id, lastWeights: lastWeights(db) });
    }
    told = true;
    return open;
  };
  const commit = (store: Store): void => {
    const batch = pending;
    const last = batch.at(-1);
    if (last === undefined) return;
    sleep(options.slowMs);
    const kept = store.write(batch.map((queued) => queued.message));
    pending = [];
    for (const { session, animal, as } of kept) {
      if (as === 'clash') answer({ kind: 'clash', session, animal });
      answer({ kind: 'saved', session, animal });
    }
    answer({ kind: 'rows', upTo: last.seq });
  };
  const close = (): void => {
    open?.db.close();
    open = null;
  };
  return {
    push: (seq, message) => {
      pending.push({ kind: 'queued', seq, message });
    },
    write: () => {
      try {
        commit(opened().store);
      } catch (error) {
        // The card may have gone away and come back: the next attempt opens the file anew.
        close();
        if (isRefusal(error)) throw error;
        throw new Error(inWords(error, bookPath(options.siteDir)), { cause: error });
      }
    },
    close,
  };
}

function sleep(ms: number): void {
  if (ms > 0) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);
}
