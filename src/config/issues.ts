import { z } from 'zod';
import { nearest, suggestion } from './nearest.ts';

/** A fault that a schema found in a value, before it is known where in the text that value stands. */
export interface Finding {
  path: PropertyKey[];
  /** What to point at: the value at `path`, its key, or what it is missing from. */
  at: 'value' | 'key' | 'parent';
  message: string;
  remedy: string;
}

/**
 * Checks `value` and says every fault in words. A schema's own message (of a refine, say) is taken
 * as it is, with its remedy after a line break and `{}` for the setting's name:
 * `'{} must be odd\nAdd one'`.
 */
export function check<S extends z.ZodType>(
  schema: S,
  value: unknown,
): { value: z.output<S> } | { findings: Finding[] } {
  const parsed = schema.safeParse(value, { error: knownKeys, reportInput: true });
  if (parsed.success) return { value: parsed.data };
  return { findings: withoutEchoes(parsed.error.issues.flatMap((issue) => findings(issue, []))) };
}

/** A mis-spelt key is one fault: that the right one is missing needs no line of its own. */
function withoutEchoes(all: Finding[]): Finding[] {
  const place = (path: PropertyKey[]): string => JSON.stringify(path.map(String));
  const meant = new Set<string>();
  for (const { path, at, remedy } of all) {
    const name = /^Did you mean "(.*)"\?$/.exec(remedy)?.[1];
    if (at === 'key' && name !== undefined) meant.add(place([...path.slice(0, -1), name]));
  }
  return all.filter(({ path, at }) => at !== 'parent' || !meant.has(place(path)));
}

/** Only here is the schema at hand: carries its keys to `unknownKeys`; empty for all else. */
function knownKeys(issue: z.core.$ZodRawIssue): string {
  if (issue.code !== 'unrecognized_keys') return '';
  return issue.inst instanceof z.ZodObject ? Object.keys(issue.inst.shape).join('\n') : '';
}

function findings(issue: z.core.$ZodIssue, above: PropertyKey[]): Finding[] {
  const path = [...above, ...issue.path];
  if (issue.code === 'unrecognized_keys') return unknownKeys(issue, path);
  if (issue.code === 'invalid_union' && issue.input !== undefined) return union(issue, path);
  if (issue.code === 'invalid_key') return [badKey(issue, path)];
  const own = issue.message === '' ? null : ownWords(issue.message, path);
  if (issue.input === undefined && (own === null || issue.code === 'invalid_type'))
    return [{ path, at: 'parent', ...missing(issue, path) }];
  return [{ path, at: 'value', ...(own ?? inWords(issue, label(path))) }];
}

function ownWords(text: string, path: PropertyKey[]): Words {
  const [message = '', ...remedy] = text.replace('{}', () => label(path)).split('\n');
  return { message, remedy: remedy.join(' ') };
}

type Words = Pick<Finding, 'message' | 'remedy'>;

function unknownKeys(issue: z.core.$ZodIssueUnrecognizedKeys, path: PropertyKey[]): Finding[] {
  const known = issue.message === '' ? [] : issue.message.split('\n');
  return issue.keys.map((key) => ({
    path: [...path, key],
    at: 'key' as const,
    message: `"${clip(key)}" is not a setting here`,
    remedy: suggestion(key, known),
  }));
}

function badKey(issue: z.core.$ZodIssueInvalidKey, path: PropertyKey[]): Finding {
  const inner = issue.issues[0];
  const key = clip(String(path.at(-1)));
  if (inner !== undefined && inner.message !== '')
    return { path, at: 'key', ...ownWords(inner.message, path) };
  const names = inner?.code === 'invalid_value' ? inner.values.map(String) : [];
  return {
    path,
    at: 'key',
    message: `"${key}" is not a name known here`,
    remedy: suggestion(key, names),
  };
}

/** Of the ways a value may be written, the one that its author began is the one to explain. */
function union(issue: z.core.$ZodIssueInvalidUnion, path: PropertyKey[]): Finding[] {
  const options = issue.errors.filter((issues) => !issues.some(wrongKind));
  const best = options.sort((a, b) => a.length - b.length)[0];
  if (best !== undefined) return best.flatMap((inner) => findings(inner, path));
  const offered = 'options' in issue ? (issue.options ?? []) : [];
  const values = [...offered, ...issue.errors.flat().flatMap(valuesOf)].map(String);
  const kinds = issue.errors.flat().flatMap(kindOf);
  const choice = [...values, ...new Set(kinds)];
  const input = unionInput(issue, path);
  const near = typeof input === 'string' ? nearest(input, values) : null;
  return [
    {
      path,
      at: input === undefined ? 'parent' : 'value',
      message:
        input === undefined
          ? `${label(path)} is missing`
          : `${label(path)} cannot be ${shown(input)}`,
      remedy: near === null ? `Write one of: ${choice.join(', ')}.` : `Did you mean "${near}"?`,
    },
  ];
}

/** A choice by a telling key reports the whole mapping as its input, with the key in the path. */
function unionInput(issue: z.core.$ZodIssueInvalidUnion, path: PropertyKey[]): unknown {
  if (!('discriminator' in issue) || issue.discriminator === undefined) return issue.input;
  if (path.at(-1) !== issue.discriminator) return issue.input;
  return (issue.input as Record<string, unknown> | null)?.[issue.discriminator];
}

function wrongKind(issue: z.core.$ZodIssue): boolean {
  if (issue.path.length > 0) return false;
  if (issue.code === 'invalid_union') return issue.errors.every((errors) => errors.some(wrongKind));
  return issue.code === 'invalid_type' || issue.code === 'invalid_value';
}

function valuesOf(issue: z.core.$ZodIssue): z.core.util.Primitive[] {
  return issue.code === 'invalid_value' && issue.path.length === 0 ? issue.values : [];
}

function kindOf(issue: z.core.$ZodIssue): string[] {
  return issue.code === 'invalid_type' && issue.path.length === 0 ? [kind(issue.expected)] : [];
}

function missing(issue: z.core.$ZodIssue, path: PropertyKey[]): Words {
  const key = String(path.at(-1) ?? '');
  const hint = issue.code === 'invalid_value' ? issue.values.map(String).join(' or ') : '';
  const what = issue.code === 'invalid_type' ? kind(issue.expected) : hint;
  return {
    message: `${label(path)} is missing`,
    remedy: `Add "${key}:"${what && ` with ${what}`}.`,
  };
}

function inWords(issue: z.core.$ZodIssue, name: string): Words {
  const { input } = issue;
  if (input === null)
    return { message: `${name} has no value`, remedy: 'Give one or remove the line.' };
  switch (issue.code) {
    case 'invalid_type':
      return wrongType(issue, name);
    case 'invalid_value': {
      const values = issue.values.map(String);
      const near = typeof input === 'string' ? nearest(input, values) : null;
      const choice =
        values.length === 1 ? `Write ${values.join()}.` : `Write one of: ${values.join(', ')}.`;
      return {
        message: `${name} cannot be ${shown(input)}`,
        remedy: near === null ? choice : `Did you mean "${near}"?`,
      };
    }
    case 'too_small':
    case 'too_big':
      return outOfRange(issue, name);
    default:
      return { message: `${name} cannot be ${shown(input)}`, remedy: 'Correct or remove it.' };
  }
}

function wrongType(issue: z.core.$ZodIssueInvalidType, name: string): Words {
  const { input } = issue;
  const message = `${name} must be ${kind(issue.expected)}, not ${shown(input)}`;
  if (issue.expected === 'number' && typeof input === 'string') {
    const digits = /-?\d+(\.\d+)?/.exec(input)?.[0];
    return {
      message,
      remedy: `Write the number alone${digits ? `: ${digits}` : ', without its unit'}.`,
    };
  }
  if (issue.expected === 'boolean') return { message, remedy: 'Write true or false.' };
  if (issue.expected === 'string' && typeof input !== 'object')
    return { message, remedy: `Put it in quotes: "${shown(input)}".` };
  return { message, remedy: `Write ${kind(issue.expected)}.` };
}

function outOfRange(issue: z.core.$ZodIssueTooSmall | z.core.$ZodIssueTooBig, name: string): Words {
  const limit =
    issue.code === 'too_small'
      ? `${issue.inclusive ? 'at least' : 'more than'} ${issue.minimum}`
      : `${issue.inclusive ? 'at most' : 'less than'} ${issue.maximum}`;
  if (issue.origin !== 'string' && issue.origin !== 'array')
    return {
      message: `${name} must be ${limit}, not ${shown(issue.input)}`,
      remedy: `Give ${limit}`,
    };
  const [one, many] = issue.origin === 'array' ? ['entry', 'entries'] : ['character', 'characters'];
  const unit = limit.endsWith(' 1') ? one : many;
  return { message: `${name} must have ${limit} ${unit}`, remedy: `Give it ${limit} ${unit}` };
}

function kind(expected: string): string {
  const words: Record<string, string> = {
    string: 'a text',
    number: 'a number',
    int: 'a whole number',
    boolean: 'true or false',
    array: 'a list',
    object: 'a mapping of settings',
    record: 'a mapping of settings',
    null: 'null',
  };
  return words[expected] ?? expected;
}

/** `"belowKg"`, or `entry 2 of "lots"`. */
function label(path: PropertyKey[]): string {
  const last = path.at(-1);
  if (last === undefined) return 'the file';
  if (typeof last !== 'number') return `"${clip(String(last))}"`;
  return `entry ${last + 1} of ${label(path.slice(0, -1))}`;
}

function shown(value: unknown): string {
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object' && value !== null) return 'a mapping';
  return typeof value === 'string' ? `"${clip(value)}"` : String(value);
}

function clip(text: string): string {
  const line = text.replace(/\s+/g, ' ');
  return line.length > 60 ? `${line.slice(0, 57)}...` : line;
}
