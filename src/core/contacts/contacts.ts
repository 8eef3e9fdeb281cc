/**
 * Raw input levels -> debounced levels and edges.
 *
 * A safety contact is live on the wire in its permissive state: it falls on the first sample and
 * rises only after the debounce time. Every other input is debounced both ways.
 */
import type { Times } from '../times.ts';
import type { Input } from '../trace.ts';

export interface ContactsConfig {
  /** Names of the inputs that are fitted. */
  inputs: string[];
  /** 20 to 100 ms. */
  debounceMs: number;
  times: Pick<Times, 'sampleLifeMs' | 'chatterMs'>;
}

/** So many changes within the chatter time are too many: more than three. */
const CHATTER_CHANGES = 4;
/** A person presses twice within a second, which is four changes; nobody presses four times. */
const BUTTON_CHANGES = 8;

interface ContactState {
  raw: boolean;
  rawAt: number | null;
  level: boolean;
  levelAt: number | null;
  /** Times of the last raw changes, oldest first. */
  changesAt: number[];
}

export interface ContactsState {
  inputs: Record<string, ContactState>;
  linkUp: boolean;
  sampledAt: number | null;
}

export interface Contact {
  raw: boolean;
  level: boolean;
  /** When the level last changed, or null when it never did. */
  since: number | null;
  rose: boolean;
  fell: boolean;
}

export interface ContactsResult {
  /** The inputs were sampled within the last 100 ms. */
  fresh: boolean;
  /** Whoever reads them says that they can be read. */
  linkUp: boolean;
  /** Only inputs that are fitted. */
  contacts: Record<string, Contact>;
  chattering: string[];
}

/** True for an input whose on level permits motion: a broken wire stops. */
export function isSafetyContact(name: string): boolean {
  return (
    name === 'frontShut' ||
    name === 'stopLoop' ||
    name === 'actuatorPower' ||
    name === 'laneClear' ||
    name.startsWith('laneClear.')
  );
}

/** True for a wired button: a person's act, never permission. */
export function isButton(name: string): boolean {
  return name.endsWith('Button') || /^(exit|mark)Button\./.test(name);
}

export function initial(config: ContactsConfig): ContactsState {
  const inputs: Record<string, ContactState> = {};
  for (const name of config.inputs) {
    inputs[name] = { raw: false, rawAt: null, level: false, levelAt: null, changesAt: [] };
  }
  return { inputs, linkUp: true, sampledAt: null };
}

/** Takes one input and gives every fitted contact's level at its time. */
export function contacts(
  config: ContactsConfig,
  state: ContactsState,
  input: Input,
): { state: ContactsState; result: ContactsResult } {
  const t = input.t;
  const next: ContactsState = { inputs: {}, linkUp: state.linkUp, sampledAt: state.sampledAt ?? t };
  if ('link' in input && input.link === 'inputs') next.linkUp = input.up;
  // A tick is given after this tick's inputs were really read, so it vouches for all of them.
  if (next.linkUp && ('tick' in input || 'input' in input)) next.sampledAt = t;
  const { linkUp } = next;
  const fresh = isFresh(config, next, t);
  const result: ContactsResult = { fresh, linkUp, contacts: {}, chattering: [] };
  for (const name of config.inputs) {
    const before = state.inputs[name];
    if (before === undefined) continue;
    const change = 'input' in input && input.input === name ? input.on : before.raw;
    const after = settle(config, name, before, change, t);
    next.inputs[name] = after;
    result.contacts[name] = {
      raw: after.raw,
      level: after.level,
      since: after.levelAt,
      rose: after.level && !before.level,
      fell: !after.level && before.level,
    };
    if (chatters(config, name, after.changesAt, t)) result.chattering.push(name);
  }
  return { state: next, result };
}

/** A link that is down says that its samples are too old already: nothing is added to their life here. */
function isFresh(config: ContactsConfig, state: ContactsState, t: number): boolean {
  if (!state.linkUp) return false;
  return state.sampledAt !== null && t - state.sampledAt <= config.times.sampleLifeMs;
}

const tooMany = (name: string): number => (isButton(name) ? BUTTON_CHANGES : CHATTER_CHANGES);

function chatters(config: ContactsConfig, name: string, changesAt: number[], t: number): boolean {
  const first = changesAt[0];
  if (first === undefined || changesAt.length < tooMany(name)) return false;
  return t - first < config.times.chatterMs;
}

function settle(
  config: ContactsConfig,
  name: string,
  before: ContactState,
  raw: boolean,
  t: number,
): ContactState {
  let { rawAt, level, levelAt, changesAt } = before;
  if (raw !== before.raw) {
    rawAt = t;
    changesAt = [...changesAt.slice(1 - tooMany(name)), t];
  }
  const due = rawAt === null || t - rawAt >= config.debounceMs || (isSafetyContact(name) && !raw);
  if (raw !== level && due) {
    level = raw;
    levelAt = t;
  }
  return { raw, rawAt, level, levelAt, changesAt };
}
