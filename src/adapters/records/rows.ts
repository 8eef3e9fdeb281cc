import type Database from 'better-sqlite3';
import type { FromWorker, Queued, RowMessage, WorkerOptions } from './messages.ts';
import { lastWeights } from './last-weights.ts';
import { bookPath, openForWriting } from './schema.ts';
import { readSession, sessionReader } from './day-book.ts';
import { lastOfFarms, lastSession, standing, type SessionNow } from './session-now.ts';
import { openStore, type Kept, type Store } from './store.ts';
import { raceTreatments } from './treatments.ts';
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
  const shown = openShown(answer);

  const opened = (): { db: Database.Database; store: Store } => {
    if (open !== null) return open;
    const db = openForWriting(options.siteDir, options.zone);
    open = { db, store: openStore(db, options.zone, options.version) };
    if (!told) {
      const { id } = db.prepare('SELECT id FROM site').get() as { id: string };
      const last = lastSession(db);
      const farms = lastOfFarms(db);
      const treatments = raceTreatments(db);
      answer({ kind: 'ready', siteId: id, lastWeights: lastWeights(db), last, farms, treatments });
    }
    told = true;
    return open;
  };
  const commit = ({ db, store }: { db: Database.Database; store: Store }): void => {
    const batch = pending;
    const last = batch.at(-1);
    if (last === undefined) return;
    sleep(options.slowMs);
    const id = batch.map(({ message }) => sessionOf(message)).findLast((one) => one !== null);
    if (id !== undefined) shown.before(db, id);
    const kept = store.write(batch.map((queued) => queued.message));
    pending = [];
    for (const { session, animal, as } of kept) {
      if (as === 'clash') answer({ kind: 'clash', session, animal });
      answer({ kind: 'saved', session, animal });
    }
    answer({ kind: 'rows', upTo: last.seq });
    const rows = batch.map(({ message }) => message);
    if (id !== undefined) shown.after(db, id, kept, rows);
    for (const past of pastIn(rows)) {
      const read = readSession(db, past);
      if (read !== null) answer({ kind: 'session', now: standing(db, read), put: {} });
    }
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
        commit(opened());
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

/** The session that a row is about; null for what changes nothing that is shown of one. */
function sessionOf(message: RowMessage): string | null {
  if (message.kind === 'session') return message.session.id;
  if (message.kind === 'correction') {
    return message.correction.past === true ? null : message.correction.session;
  }
  return message.kind !== 'event' && 'session' in message ? message.session : null;
}

/** Sessions that are over and of which something was put right. */
function pastIn(rows: RowMessage[]): Set<string> {
  const of = (row: RowMessage): string[] =>
    row.kind === 'correction' && row.correction.past === true ? [row.correction.session] : [];
  return new Set(rows.flatMap(of));
}

/** The animals of a session of which these rows say something new. */
function changedIn(rows: RowMessage[], id: string): 'all' | number[] {
  if (rows.some((row) => row.kind === 'mend')) return 'all';
  return rows.flatMap((row) =>
    row.kind === 'crossing' && row.session === id ? [row.crossing.animal] : [],
  );
}

/** Tells how the session stands after each commit. */
function openShown(answer: (answer: FromWorker) => void): {
  before: (db: Database.Database, id: string) => void;
  after: (db: Database.Database, id: string, kept: Kept[], rows: RowMessage[]) => void;
} {
  let last: SessionNow | null = null;
  let reader: { db: Database.Database; read: ReturnType<typeof sessionReader> } | null = null;
  const look = (db: Database.Database, id: string, rows: RowMessage[]): SessionNow | null => {
    // A file that was opened anew is read anew.
    if (reader?.db !== db) reader = { db, read: sessionReader(db) };
    const read = reader.read(id, changedIn(rows, id));
    return read === null ? null : standing(db, read);
  };
  return {
    before: (db, id) => {
      if (last?.info.id !== id) last = look(db, id, []);
    },
    after: (db, id, kept, rows) => {
      const now = look(db, id, rows);
      if (now === null) return;
      const put: Record<string, number> = {};
      const add = (lot: string, head: number): void => {
        put[lot] = (put[lot] ?? 0) + head;
      };
      for (const [lot, head] of Object.entries(now.counts)) add(lot, head);
      for (const [lot, head] of Object.entries(last?.counts ?? {})) add(lot, -head);
      for (const one of kept) {
        if (one.as === 'row' && one.session === id && one.lot !== null) add(one.lot, -1);
      }
      last = now;
      answer({
        kind: 'session',
        now,
        put: Object.fromEntries(Object.entries(put).filter(([, n]) => n !== 0)),
      });
    },
  };
}

function sleep(ms: number): void {
  if (ms > 0) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);
}
