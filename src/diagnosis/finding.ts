import { FAULTS, type FaultName } from '../core/faults/table.ts';
import { CAUSES, type CauseName } from './table.ts';

/** One thing that was found, with its number. */
export interface Finding {
  name: CauseName | FaultName;
  /** The leaf or contact that it is about, or null. */
  about: string | null;
  /** What was measured. */
  number: number;
  unit: 'kg' | '%' | 'ms' | 'V' | 'times' | 'Hz';
  /** The number in words, with what it is compared with. */
  said: string;
  what: string;
  cause: string;
  remedy: string;
}

/** A finding by its name in the table of causes. */
export function finding(
  name: CauseName,
  about: string | null,
  number: number,
  unit: Finding['unit'],
  said: string,
): Finding {
  return { name, about, number, unit, said, ...CAUSES[name] };
}

/** A fault that the core raised, so often. */
export function faultFinding(name: FaultName, times: number, said: string): Finding {
  const { what, cause, remedy } = FAULTS[name];
  return { name, about: null, number: times, unit: 'times', said, what, cause, remedy };
}
