/**
 * Patterns for lines: the part of regular expressions that can be matched without ever trying two
 * ways. A pattern is taken only if, whatever has been read, at most one place in it can read the
 * next character (Brüggemann-Klein and Wood, "One-unambiguous regular languages", 1998), by one
 * route only, and nothing that may be empty is repeated. A backtracking engine then has no second
 * way to try, so the time grows with the length of the line and no line can hang the race.
 */

export interface Pattern {
  regex: RegExp;
  /** Where each named group stands in the result of `exec`. */
  groups: Record<string, number>;
}

export interface BadPattern {
  /** Characters before the fault. */
  at: number;
  message: string;
  remedy: string;
}

/** Places that read one character; repeats with a count are written out, so there can be many. */
const MOST_PLACES = 512;

/** Something of the pattern, with the places where it can begin and end. */
interface Part {
  first: number[];
  last: number[];
  empty: boolean;
}

interface Place {
  at: number;
  reads: Uint8Array;
  next: number[];
}

interface Reader {
  text: string;
  at: number;
  places: Place[];
  groups: Record<string, number>;
  captures: number;
  /** The names of groups, by where they stand, to be left out of the regular expression. */
  names: Map<number, string>;
}

class Fault extends Error {
  readonly fault: BadPattern;
  constructor(at: number, message: string, remedy: string) {
    super(message);
    this.fault = { at, message, remedy };
  }
}

/** Reads a pattern that must match a whole line, or says what is wrong with it and where. */
export function readPattern(text: string): Pattern | BadPattern {
  const reader: Reader = { text, at: 0, places: [], groups: {}, captures: 0, names: new Map() };
  try {
    const whole = alternatives(reader);
    if (reader.at < text.length)
      throw new Fault(reader.at, 'a bracket is closed that was not opened', 'Remove it.');
    oneWay(reader, whole.first);
    for (const place of reader.places) oneWay(reader, place.next);
    return { regex: new RegExp(`^(?:${withoutNames(reader)})$`), groups: reader.groups };
  } catch (error) {
    if (error instanceof Fault) return error.fault;
    return { at: 0, message: (error as Error).message, remedy: 'Correct the pattern.' };
  }
}

/** Named groups cost an object for each match: numbers do. */
function withoutNames(reader: Reader): string {
  let text = '';
  let from = 0;
  for (const [at, opening] of [...reader.names].sort(([a], [b]) => a - b)) {
    text += `${reader.text.slice(from, at)}(`;
    from = at + opening.length;
  }
  return text + reader.text.slice(from);
}

function alternatives(reader: Reader): Part {
  const from = reader.at;
  const list = WORDS.exec(reader.text.slice(from))?.[0];
  if (list !== undefined) return words(reader, list);
  const parts = [sequence(reader)];
  while (reader.text[reader.at] === '|') {
    reader.at += 1;
    parts.push(sequence(reader));
  }
  if (parts.filter((part) => part.empty).length > (parts.length > 1 ? 0 : 1))
    throw new Fault(from, 'one of the alternatives may be empty', 'Put ? after the group instead.');
  return {
    first: parts.flatMap((part) => part.first),
    last: parts.flatMap((part) => part.last),
    empty: parts.some((part) => part.empty),
  };
}

/** Plain words to choose from, up to the end of their group. */
const WORDS = /^[A-Za-z0-9 _,;:=<>!@#%&~"'`/-]+(?:\|[A-Za-z0-9 _,;:=<>!@#%&~"'`/-]+)+(?=\)|$)/;

/** Words may begin alike: what they share is one place, so `US|UL` reads as `U[SL]` does. */
function words(reader: Reader, list: string): Part {
  const ends = new Map<string, number>();
  const places = new Map<string, number>();
  let at = reader.at;
  for (const word of list.split('|')) {
    if (ends.has(word)) throw new Fault(at, `"${word}" stands twice`, 'Remove one.');
    for (let length = 1; length <= word.length; length++) {
      const begin = word.slice(0, length);
      if (places.has(begin)) continue;
      const place = newPlace(reader, at + length - 1, begin.slice(-1));
      places.set(begin, place);
      reader.places[places.get(begin.slice(0, -1)) ?? -1]?.next.push(place);
    }
    ends.set(word, places.get(word) ?? -1);
    at += word.length + 1;
  }
  reader.at += list.length;
  const first = [...places].filter(([begin]) => begin.length === 1).map(([, place]) => place);
  return { first, last: [...ends.values()], empty: false };
}

function newPlace(reader: Reader, at: number, atom: string): number {
  if (reader.places.length >= MOST_PLACES)
    throw new Fault(at, `the pattern has more than ${MOST_PLACES} places`, 'Make it shorter.');
  reader.places.push({ at, reads: characters(atom, at), next: [] });
  return reader.places.length - 1;
}

function sequence(reader: Reader): Part {
  let whole: Part = { first: [], last: [], empty: true };
  while (reader.at < reader.text.length && !'|)'.includes(reader.text[reader.at] ?? ''))
    whole = follow(reader, whole, repeated(reader));
  return whole;
}

/** `a` and then `b`. */
function follow(reader: Reader, a: Part, b: Part): Part {
  link(reader, a.last, b.first);
  return {
    first: a.empty ? [...a.first, ...b.first] : a.first,
    last: b.empty ? [...a.last, ...b.last] : b.last,
    empty: a.empty && b.empty,
  };
}

function link(reader: Reader, from: number[], to: number[]): void {
  for (const place of from) reader.places[place]?.next.push(...to);
}

const COUNT = /^(?:([?*+])|\{(\d{1,3})(?:(,)(\d{1,3})?)?\})/;

function repeated(reader: Reader): Part {
  const from = reader.at;
  const captures = reader.captures;
  const part = single(reader);
  const to = reader.at;
  const count = COUNT.exec(reader.text.slice(to));
  if (!count) return part;
  const [all, sign, least, comma, most] = count;
  reader.at += all.length;
  const end = reader.at;
  if (/^[?*+{]/.test(reader.text.slice(end)))
    throw new Fault(end, 'a repeat is repeated or made lazy', 'Leave one sign.');
  if (part.empty)
    throw new Fault(
      from,
      'what is repeated here may be empty',
      'Repeat only what reads something.',
    );
  const low = sign === undefined ? Number(least) : sign === '+' ? 1 : 0;
  const high =
    sign === undefined
      ? comma === undefined
        ? low
        : Number(most ?? Infinity)
      : sign === '?'
        ? 1
        : Infinity;
  if (high < low || high === 0) throw new Fault(to, 'the count is impossible', 'Correct it.');
  return writtenOut(reader, part, { from, captures, end, low, high });
}

interface Repeat {
  from: number;
  captures: number;
  end: number;
  low: number;
  high: number;
}

/** `x{2,3}` as `xxx?`, `x{2,}` as `xx+`: each copy has places of its own. */
function writtenOut(reader: Reader, part: Part, repeat: Repeat): Part {
  const { low, high } = repeat;
  const copies = high === Infinity ? Math.max(low, 1) : high;
  const parts = [part];
  while (parts.length < copies) {
    const captures = reader.captures;
    reader.at = repeat.from;
    reader.captures = repeat.captures;
    parts.push(single(reader));
    reader.captures = captures;
  }
  reader.at = repeat.end;
  const last = parts.at(-1) ?? part;
  if (high === Infinity) link(reader, last.last, last.first);
  return parts.reduceRight<Part>(
    (rest, copy, index) => ({ ...follow(reader, copy, rest), empty: index >= low }),
    { first: [], last: [], empty: true },
  );
}

function single(reader: Reader): Part {
  if (reader.text[reader.at] === '(') return group(reader);
  const from = reader.at;
  const atom = ATOM.exec(reader.text.slice(from))?.[0];
  if (atom === undefined)
    throw new Fault(
      from,
      `"${reader.text.slice(from, from + 2)}" is not read here`,
      'Use letters, digits, classes such as [0-9], groups, |, and ? * + {n,m}; put \\ before a sign.',
    );
  reader.at += atom.length;
  const place = newPlace(reader, from, atom);
  return { first: [place], last: [place], empty: false };
}

/** One character's worth: a plain character, an escape, a class, or the full stop. */
const ATOM =
  /^(?:[^\\()[\]{}?*+|^$]|\\(?:x[0-9A-Fa-f]{2}|[dDwWsStnr]|[^A-Za-z0-9])|\[(?:[^\\\]]|\\(?:x[0-9A-Fa-f]{2}|[dDwWsStnr]|[^A-Za-z0-9]))+\])/;

function characters(atom: string, at: number): Uint8Array {
  let regex: RegExp;
  try {
    regex = new RegExp(`^${atom}$`);
  } catch {
    throw new Fault(at, `"${atom}" is no class of characters`, 'Correct it.');
  }
  return Uint8Array.from({ length: 256 }, (_, code) =>
    regex.test(String.fromCharCode(code)) ? 1 : 0,
  );
}

function group(reader: Reader): Part {
  const from = reader.at;
  const opening = /^\((?:\?:|\?<([A-Za-z][A-Za-z0-9]*)>|(?!\?))/.exec(reader.text.slice(from));
  if (!opening)
    throw new Fault(from, 'looking ahead or behind is not read here', 'Use (?<name>…) or (?:…).');
  reader.at += opening[0].length;
  if (opening[0] !== '(?:') reader.captures += 1;
  const name = opening[1];
  if (name !== undefined) {
    if ((reader.groups[name] ?? reader.captures) !== reader.captures)
      throw new Fault(from, `the group "${name}" stands twice`, 'Give each group its own name.');
    reader.groups[name] = reader.captures;
    reader.names.set(from, opening[0]);
  }
  const inside = alternatives(reader);
  if (reader.text[reader.at] !== ')')
    throw new Fault(from, 'this bracket is not closed', 'Close it.');
  reader.at += 1;
  return inside;
}

/** Refuses places of which two could read the same next character. */
function oneWay(reader: Reader, candidates: number[]): void {
  const takenBy = new Map<number, number>();
  for (const index of candidates) {
    const place = reader.places[index];
    if (!place) continue;
    for (let code = 0; code < 256; code++) {
      if (place.reads[code] !== 1) continue;
      const other = takenBy.get(code);
      if (other !== undefined) throw ambiguous(reader, other, place.at, code);
      takenBy.set(code, place.at);
    }
  }
}

function ambiguous(reader: Reader, one: number, two: number, code: number): Fault {
  const show = (at: number): string =>
    `"${ATOM.exec(reader.text.slice(at))?.[0] ?? ''}" (character ${at + 1})`;
  const [first, second] = [Math.min(one, two), Math.max(one, two)];
  return new Fault(
    second,
    `two ways to read ${JSON.stringify(String.fromCharCode(code))}: by ${show(first)} and by ${show(second)}; such a pattern can take for ever`,
    'Write it so that the next character always settles which part reads it.',
  );
}
