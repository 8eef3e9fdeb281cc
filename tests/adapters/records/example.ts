import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import {
  startRecords,
  type Records,
  type RecordsOptions,
  type Wall,
} from '../../../src/adapters/records/port.ts';
import type { RowMessage, SessionInfo } from '../../../src/adapters/records/messages.ts';
import { openForWriting } from '../../../src/adapters/records/schema.ts';
import { openStore } from '../../../src/adapters/records/store.ts';
import type { Crossing, TraceHeader } from '../../../src/core/trace.ts';

export const HEADER: TraceHeader = {
  trace: 1,
  startedAt: '2026-09-12T08:00:00.000Z',
  scale: { divisionKg: 0.1, rateHz: 10 },
  inputs: ['frontShut'],
  fank: '0.1.0',
};

/** 12 September 2026, 08:00 UTC. */
export const MORNING = Date.UTC(2026, 8, 12, 8);

export function wall(ms: number, clockSet = true): Wall {
  return { atMs: MORNING + ms, clockSet };
}

/** A lamb of 41.5 kg that went ahead, let go `animal` times 10 s after the start. */
export function crossing(animal: number, changes: Partial<Crossing> = {}): Crossing {
  const t = animal * 10_000;
  return {
    animal,
    session: 'S1',
    tag: null,
    enteredAt: t - 4000,
    firstDecidedAt: t - 2000,
    decidedAt: t - 2000,
    letGoAt: t,
    leftAt: null,
    lot: 'Fit',
    exit: 'ahead',
    decisionKg: 41.48,
    recordedKg: 41.5,
    uncertaintyKg: 0.12,
    rule: 'settled',
    reason: '41.5 kg settled: 40 to 45 kg is Fit',
    revisions: 0,
    unsure: false,
    flags: [],
    marks: [],
    ...changes,
  };
}

/** A folder of its own for one test. */
export function siteFolder(): string {
  const dir = mkdtempSync(join(tmpdir(), 'fank-records-'));
  onTestFinished(() => {
    rmSync(dir, { recursive: true, force: true });
  });
  return dir;
}

/** Records of a folder, closed when the test has finished. */
export function recordsOf(siteDir: string, more: Partial<RecordsOptions> = {}): Records {
  const records = startRecords({
    siteDir,
    zone: 'Europe/London',
    version: '0.1.0',
    header: HEADER,
    state: { phase: 'empty' },
    ...more,
  });
  onTestFinished(async () => {
    await records.close();
  });
  return records;
}

/** Settles at the first call of a callback of the records that `accept` takes. */
export function once<A extends unknown[]>(
  on: (callback: (...args: A) => void) => void,
  accept: (...args: A) => boolean = () => true,
): Promise<A> {
  return new Promise((resolve) => {
    on((...args) => {
      if (accept(...args)) resolve(args);
    });
  });
}

/** Writes rows as the records thread does, in one transaction. */
export function writeRows(siteDir: string, rows: RowMessage[], zone = 'Europe/London'): void {
  const db = openForWriting(siteDir, zone);
  try {
    openStore(db, zone, '0.1.0').write(rows);
  } finally {
    db.close();
  }
}

export function session(id: string, changes: Partial<SessionInfo> = {}): RowMessage {
  const said = { farm: null, holding: null, flockMark: null, mob: null, field: null };
  const more = { hoursOffFeed: null, fleece: null, who: null };
  return {
    kind: 'session',
    session: { id, plan: null, divisionKg: 0.1, ...said, ...more, ...changes },
    wall: wall(0),
  };
}

/** The row at letting go of `crossing(animal, changes)`. */
export function letGo(
  animal: number,
  changes: Partial<Crossing> = {},
  when = wall(animal * 10_000),
): RowMessage {
  const made = crossing(animal, changes);
  return {
    kind: 'crossing',
    session: String(made.session),
    crossing: made,
    final: false,
    wall: when,
  };
}
