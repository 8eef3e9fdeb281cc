/** Does a recorded trace still give the same outputs and events? */
import type { Event, Input } from '../core/trace.ts';
import type { KeptRecord } from '../core/trace-codec.ts';
import type { Produced } from './run.ts';

export interface Difference {
  t: number;
  recorded: string | null;
  recomputed: string | null;
}

/**
 * Compares what a trace recorded with what was recomputed, in order; null when equal. A recorded end
 * that was cut off within the last moment is equal.
 */
export function firstDifference(
  recorded: readonly (Input | KeptRecord)[],
  recomputed: readonly Produced[],
): Difference | null {
  const old = recorded.flatMap((r) => ('output' in r || 'event' in r ? [produced(r)] : []));
  const lastT = recorded.at(-1)?.t ?? 0;
  const made = recomputed.filter((item) => item.kind !== 'input');
  for (let i = 0; i < Math.max(old.length, made.length); i += 1) {
    const [was, is] = [old[i], made[i]];
    if (was === undefined && is !== undefined && is.t >= lastT) return null;
    if (was !== undefined && is !== undefined && text(was) === text(is)) continue;
    return {
      t: (was ?? is)?.t ?? 0,
      recorded: was === undefined ? null : text(was),
      recomputed: is === undefined ? null : text(is),
    };
  }
  return null;
}

type Made = Exclude<Produced, { kind: 'input' }>;

function produced(
  record: { t: number } & ({ output: string; on: boolean } | { event: Event }),
): Made {
  const { t } = record;
  if ('event' in record) return { kind: 'event', t, event: record.event };
  return { kind: 'output', t, output: record.output, on: record.on };
}

function text(item: Made): string {
  const { t } = item;
  return JSON.stringify(
    item.kind === 'event' ? { t, event: item.event } : { t, output: item.output, on: item.on },
  );
}
