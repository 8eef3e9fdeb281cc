/**
 * The one codec of trace lines, for file, replay and wire: text to checked records and back.
 * Pure: it neither opens files nor throws.
 */
import type { Command, Event, Input, LinkName, TraceHeader } from './trace.ts';

/** A record of a trace that `step` is never given. */
export type KeptRecord =
  | { t: number; bytes: string }
  | { t: number; truth: unknown }
  | { t: number; state: unknown }
  | { t: number; output: string; on: boolean }
  | { t: number; event: Event };

export type ParsedLine =
  | { kind: 'input'; record: Input }
  | { kind: 'kept'; record: KeptRecord }
  /** A record of a kind that this version does not know: kept and reported. */
  | { kind: 'unknown'; t: number | null }
  | { kind: 'broken'; problem: string };

type Fields = Record<string, unknown>;

const LINKS: readonly LinkName[] = [
  'scale',
  'reader',
  'relays',
  'inputs',
  'records',
  'page',
  'battery',
];
const COMMANDS: readonly Command['do'][] = [
  'start',
  'session',
  'pause',
  'stop',
  'clear',
  'exit',
  'hold',
  'confirm',
  'zero',
  'mark',
  'answer',
];

/** Reads the first line of a trace; a string is what is wrong with it. */
export function parseHeader(line: string): TraceHeader | string {
  const header = parseObject(line);
  if (header === null) return 'the first line is not a JSON object';
  if (header['trace'] !== 1) return 'the first line has no "trace":1';
  const scale = header['scale'];
  if (!isObject(scale) || !isPositive(scale['divisionKg']) || !isPositive(scale['rateHz'])) {
    return '"scale" has no divisionKg and rateHz above 0';
  }
  const inputs = header['inputs'] ?? [];
  if (!Array.isArray(inputs) || inputs.some((name) => typeof name !== 'string')) {
    return '"inputs" is not a list of names';
  }
  return { ...header, startedAt: header['startedAt'] ?? null, inputs } as unknown as TraceHeader;
}

/** Reads one line after the header. */
export function parseLine(line: string): ParsedLine {
  const fields = parseObject(line);
  if (fields === null) return { kind: 'broken', problem: 'not a JSON object' };
  const t = fields['t'];
  if (typeof t !== 'number' || !Number.isSafeInteger(t) || t < 0) {
    return { kind: 'broken', problem: '"t" is not a whole number of ms from 0' };
  }
  if (isInput(fields)) return { kind: 'input', record: fields as unknown as Input };
  if (isKept(fields)) return { kind: 'kept', record: fields as unknown as KeptRecord };
  return { kind: 'unknown', t };
}

/** One line of a trace, without its line end. */
export function formatLine(record: Input | KeptRecord | TraceHeader): string {
  return JSON.stringify(record);
}

function isInput(f: Fields): boolean {
  if ('kg' in f) return f['kg'] === null || typeof f['kg'] === 'number';
  if ('input' in f) return typeof f['input'] === 'string' && typeof f['on'] === 'boolean';
  if ('tag' in f) return typeof f['tag'] === 'string';
  if ('command' in f) return isCommand(f['command']);
  if ('link' in f) {
    return LINKS.some((name) => name === f['link']) && typeof f['up'] === 'boolean';
  }
  if ('volts' in f) return typeof f['volts'] === 'number';
  if ('late' in f) return typeof f['late'] === 'number' && f['late'] >= 0;
  return isObject(f['config']);
}

function isCommand(command: unknown): boolean {
  if (!isObject(command) || !COMMANDS.some((name) => name === command['do'])) return false;
  if (command['do'] === 'exit') return typeof command['exit'] === 'string';
  return command['do'] !== 'hold' || typeof command['output'] === 'string';
}

function isKept(f: Fields): boolean {
  if ('bytes' in f) return typeof f['bytes'] === 'string';
  if ('output' in f) return typeof f['output'] === 'string' && typeof f['on'] === 'boolean';
  return 'truth' in f || 'state' in f || isObject(f['event']);
}

function parseObject(line: string): Fields | null {
  try {
    const value: unknown = JSON.parse(line);
    return isObject(value) ? value : null;
  } catch {
    return null;
  }
}

function isObject(value: unknown): value is Fields {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function isPositive(value: unknown): boolean {
  return typeof value === 'number' && value > 0;
}
