/**
 * What is wrong with a crate, its line, its gate or its battery, from one trace: each finding with its
 * number, its likely cause and what to do. Pure: it reads no file and knows no clock.
 */
import { severity, type FaultName } from '../core/faults/table.ts';
import type { Input, TraceHeader } from '../core/trace.ts';
import type { KeptRecord } from '../core/trace-codec.ts';
import { batteryOf, judgeBattery } from './battery.ts';
import { judgeContacts } from './contacts.ts';
import { emptyStretches, judgeEmpty } from './empty.ts';
import { faultFinding, finding, type Finding } from './finding.ts';
import { judgeKnown } from './known.ts';
import { judgeLeaves } from './leaves.ts';
import { judgeLine, type BytesCount } from './line.ts';
import { see, type Seen } from './seen.ts';

export interface Given {
  header: TraceHeader;
  records: readonly (Input | KeptRecord)[];
  /** What the raw bytes come to, where there are any. */
  bytes: BytesCount | null;
  /** A mass that stood on the crate during the trace, kg. */
  knownKg: number | null;
}

/** A reading nearer to nought than this may be of the empty crate, where no profile says it, kg. */
const EMPTY_KG = 4;
const MAX_KG = 200;

/** Everything that a trace shows; an empty list where nothing is. */
export function diagnose({ header, records, bytes, knownKg }: Given): Finding[] {
  const seen = see(header, records);
  const weights = seen.readings.flatMap(({ t, kg }) => (kg === null ? [] : [{ t, kg }]));
  const empties = emptyStretches(weights, seen.config?.crate.emptyKg ?? EMPTY_KG);
  const battery = batteryOf(seen);
  const maxKg = seen.config?.scale.maxKg ?? MAX_KG;
  const scale = { divisionKg: seen.divisionKg, maxKg };
  return [
    ...judgeLine(seen, bytes),
    ...judgeEmpty(empties, seen.divisionKg),
    ...(knownKg === null ? [] : judgeKnown(weights, empties, scale, knownKg)),
    ...judgeBattery(seen, battery),
    ...judgeLeaves(seen, battery),
    ...judgeContacts(seen),
    ...judgeService(seen),
    ...faultsOf(seen),
  ];
}

/** Ticks this late are said; the core makes a fault of those over 0.1 s, ms. */
const LATE_MS = 60;

function judgeService({ lates }: Seen): Finding[] {
  const long = lates.filter(({ late }) => late >= LATE_MS);
  if (long.length === 0) return [];
  const most = Math.max(...long.map(({ late }) => late));
  return [
    finding('service-late', null, most, 'ms', `${long.length} time(s), by ${most} ms at most`),
  ];
}

/** Faults that the core raised, in the order of their first coming. */
function faultsOf({ events }: Seen): Finding[] {
  const found = new Map<FaultName, { times: number; first: number; details: Set<string> }>();
  for (const { t, event } of events) {
    if (event.kind !== 'fault' || !event.on) continue;
    const one = found.get(event.fault) ?? { times: 0, first: t, details: new Set<string>() };
    one.times += 1;
    if (event.detail !== undefined) one.details.add(event.detail);
    found.set(event.fault, one);
  }
  // That an actuator rests once, or an animal waits, is a day's work.
  const worth = [...found].filter(([name, { times }]) => severity(name) !== 'note' || times > 2);
  return worth.map(([fault, { times, first, details }]) => {
    const about = details.size === 0 ? '' : ` (${[...details].join(', ')})`;
    return faultFinding(
      fault,
      times,
      `${times} time(s), first at ${(first / 1000).toFixed(1)} s${about}`,
    );
  });
}
