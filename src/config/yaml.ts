import { isCollection, isMap, isNode, isScalar, parseDocument, visit, YAMLError } from 'yaml';
import type { Document } from 'yaml';
import type { z } from 'zod';
import type { ConfigError } from './errors.ts';
import { check } from './issues.ts';
import type { Finding } from './issues.ts';

export { formatError } from './errors.ts';
export type { ConfigError, Loaded } from './errors.ts';
export type { Finding } from './issues.ts';

/** Far above any sensible file of ours; keeps a wrong file from being read for minutes. */
export const MAX_CHARACTERS = 256 * 1024;

/** One slip of grammar often upsets all that follows: more than this helps nobody. */
const MOST_GRAMMAR_ERRORS = 10;

/** Where the values of one file stand, for checks that go beyond its schema. */
export interface Source {
  file: string;
  /** An error at the value of `path`, e.g. `['lots', 1, 'exit']`; at what it would stand in where it is missing. */
  error(path: PropertyKey[], message: string, remedy: string): ConfigError;
  /** The same at the key itself. */
  keyError(path: PropertyKey[], message: string, remedy: string): ConfigError;
  /** The same for what a check of our own found. */
  at(finding: Finding): ConfigError;
}

export type Read<T> = { ok: true; value: T; source: Source } | { ok: false; errors: ConfigError[] };

/**
 * Reads YAML 1.2 and checks it against a zod schema (make mappings with `z.strictObject`, so that
 * unknown keys are errors). Never throws for bad text: gives the value with its source, or every
 * error with line and column. A missing key is reported at the key of the mapping that lacks it.
 * Anchors and aliases, tags, directives and keys that are not plain text are refused.
 */
export function loadYaml<S extends z.ZodType>(
  text: string,
  file: string,
  schema: S,
): Read<z.output<S>> {
  const parsed = parse(text, file);
  if (!parsed.ok) return parsed;
  const checked = check(schema, parsed.plain);
  const at = (finding: Finding): ConfigError =>
    errorAt(text, file, offsetOf(parsed.document, finding.path, finding.at), finding);
  if ('findings' in checked) return { ok: false, errors: sorted(checked.findings.map(at)) };
  const source: Source = {
    file,
    error: (path, message, remedy) => at({ path, at: 'value', message, remedy }),
    keyError: (path, message, remedy) => at({ path, at: 'key', message, remedy }),
    at,
  };
  return { ok: true, value: checked.value, source };
}

/** Errors in the order in which they stand in their file. */
export function sorted(errors: ConfigError[]): ConfigError[] {
  return [...errors].sort((a, b) => a.line - b.line || a.column - b.column);
}

type Parsed =
  { ok: true; document: Document.Parsed; plain: unknown } | { ok: false; errors: ConfigError[] };

function parse(text: string, file: string): Parsed {
  const fail = (offset: number, message: string, remedy: string): Parsed => ({
    ok: false,
    errors: [errorAt(text, file, offset, { message, remedy })],
  });
  if (text.length > MAX_CHARACTERS)
    return fail(
      0,
      `the file is longer than ${MAX_CHARACTERS} characters`,
      'Check that it is the right file.',
    );
  try {
    const document = parseDocument(text, {
      version: '1.2',
      uniqueKeys: true,
      stringKeys: true,
      prettyErrors: false,
      logLevel: 'error',
    });
    const errors = [...document.errors, ...document.warnings].map((error) =>
      errorAt(text, file, error.pos[0], grammar(error)),
    );
    errors.push(...unwanted(document, text, file));
    if (errors.length > 0)
      return { ok: false, errors: sorted(errors).slice(0, MOST_GRAMMAR_ERRORS) };
    if (
      document.contents === null ||
      (isScalar(document.contents) && document.contents.value === null)
    )
      return fail(0, 'the file is empty', 'Write its settings or put the shipped one back.');
    return { ok: true, document, plain: document.toJS({ maxAliasCount: 0 }) as unknown };
  } catch (error) {
    // The parser recurses, so a thousand open brackets can exhaust the stack.
    const offset = error instanceof YAMLError ? error.pos[0] : 0;
    return fail(offset, 'the file cannot be read as YAML', 'Check that it is the right file.');
  }
}

/** What YAML allows and these files do not need. */
function unwanted(document: Document.Parsed, text: string, file: string): ConfigError[] {
  const errors: ConfigError[] = [];
  const refuse = (offset: number, message: string, remedy: string): void => {
    errors.push(errorAt(text, file, offset, { message, remedy }));
  };
  if (document.directives.yaml.version !== '1.2')
    refuse(0, 'only YAML 1.2 is read', 'Remove the %YAML line.');
  visit(document, {
    Alias: (_, node) => {
      refuse(
        node.range?.[0] ?? 0,
        `an alias (*${node.source}) is not allowed`,
        'Write the value out.',
      );
    },
    Node: (_, node) => {
      if (node.tag !== undefined && node.range)
        refuse(node.range[0], `a tag (${node.tag}) is not allowed`, 'Remove it.');
    },
  });
  return errors;
}

/** Whether the offset is of the value, of its key, or of what lacks it. */
function offsetOf(document: Document.Parsed, path: PropertyKey[], at: Finding['at']): number {
  let node: unknown = document.contents;
  let key: unknown = null;
  for (const [index, step] of path.entries()) {
    const last = index === path.length - 1;
    if (last && at === 'parent') break;
    const pair = isMap(node)
      ? node.items.find((item) => isScalar(item.key) && String(item.key.value) === String(step))
      : undefined;
    const next = pair ? pair.value : isCollection(node) ? node.get(step, true) : undefined;
    if (next === undefined && pair === undefined)
      return offsetOf(document, path.slice(0, index + 1), 'parent');
    if (last && at === 'key' && pair) return start(pair.key) ?? 0;
    [node, key] = [next, pair ? pair.key : null];
    if (last) return start(node) ?? start(key) ?? 0;
  }
  return start(key) ?? start(node) ?? 0;
}

function start(node: unknown): number | null {
  return isNode(node) && node.range ? node.range[0] : null;
}

function errorAt(
  text: string,
  file: string,
  offset: number,
  words: { message: string; remedy: string },
): ConfigError {
  const before = text.slice(0, Math.max(0, Math.min(offset, text.length)));
  const lineStart = before.lastIndexOf('\n') + 1;
  return {
    file,
    line: before.split('\n').length,
    column: before.length - lineStart + 1,
    message: words.message,
    remedy: words.remedy,
  };
}

const GRAMMAR: Partial<Record<YAMLError['code'], [message: string, remedy: string]>> = {
  DUPLICATE_KEY: ['this setting stands twice', 'Keep one of the two.'],
  TAB_AS_INDENT: ['a tab is used to indent', 'Indent with spaces.'],
  BAD_INDENT: ['the line is indented wrongly', 'Line it up with the settings that it belongs to.'],
  MULTIPLE_DOCS: ['a second document begins here', 'Remove the line ---.'],
  NON_STRING_KEY: ['a setting needs a plain name', 'Write name: value.'],
  MISSING_CHAR: [
    'something is missing here',
    'Close the quote or bracket, or put a space after the colon.',
  ],
};

function grammar(error: YAMLError): { message: string; remedy: string } {
  const known = GRAMMAR[error.code];
  if (known) return { message: known[0], remedy: known[1] };
  const said = error.message.split('\n')[0] ?? '';
  return {
    message: `not readable as YAML (${said})`,
    remedy: 'Check quotes, brackets, colons and indents.',
  };
}
