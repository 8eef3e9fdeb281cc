/**
 * The rules of the interlock as a watcher of raw inputs and outputs alone. It shares no code with the
 * core: it imports only types, keeps its own idea of what has happened, and says which rule an output
 * breaks. Its state is plain JSON; absolute times end in `At`, as in the core.
 */
import type { GateConfig } from '../../src/core/interlock/gate.ts';
import type { Times } from '../../src/core/times.ts';
import type { Input } from '../../src/core/trace.ts';

export interface Watched {
  gate: GateConfig;
  inputs: string[];
  debounceMs: number;
  keepAliveProved: boolean;
  battery: boolean;
  times: Times;
}

/** One call of the core from outside. */
export interface Observation {
  t: number;
  input: Input;
  outputs: Record<string, boolean>;
  scale: { fresh: boolean; occupancy: 'unknown' | 'empty' | 'loaded' };
}

type Permission = 'off' | 'faulted' | 'on' | 'paused' | 'fitting';

interface Output {
  on: boolean;
  /** When it last changed; the first observation counts as a change. */
  changedAt: number;
  /** It went on under a person's finger. */
  held: boolean;
}

export interface Watch {
  permission: Permission;
  /** The keep-alive was on: the program itself held that it was started. */
  fed: boolean;
  contacts: Record<string, { on: boolean; movedAt: number }>;
  outputs: Record<string, Output>;
  /** Where each leaf stands by its last whole stroke. */
  leaves: Record<string, 'extended' | 'retracted' | 'unknown'>;
  strokes: Record<string, number>;
  homing: boolean;
  needsConfirm: boolean;
  waitsFor: string | null;
  signAt: number | null;
  loaded: boolean;
  mustEmpty: boolean;
  homeFirst: boolean;
  saidEmpty: boolean;
  hand: boolean;
  /** Since that word the animal was seen on the weigh head. */
  handSeen: boolean;
  /** The let-go lamp was lit for whoever is on the crate. */
  signalled: boolean;
  records: boolean;
  relays: boolean;
  linkUp: boolean;
  sampledAt: number | null;
  tickAt: number | null;
  /** By output: a finger's touches. Refused or not, a touch counts: what is on has to have one. */
  touches: Record<string, Touch>;
}

interface Touch {
  /** Since when this press goes on. */
  beganAt: number;
  renewedAt: number;
  /** Its stroke has ended. */
  spent: boolean;
  /** Another output was touched since: the next touch is a new press. */
  left: boolean;
}

const TICK = 20;
const opposite = known((name) =>
  name.endsWith('.extend')
    ? name.replace(/extend$/, 'retract')
    : name.replace(/retract$/, 'extend'),
);
const leafOf = known((name) => name.slice(0, name.lastIndexOf('.')));
const endOf = (name: string): 'extended' | 'retracted' =>
  name.endsWith('.extend') ? 'extended' : 'retracted';

/** They are asked for many times at every observation. */
function known(make: (name: string) => string): (name: string) => string {
  const made = new Map<string, string>();
  return (name) => {
    const before = made.get(name);
    if (before !== undefined) return before;
    const after = make(name);
    made.set(name, after);
    return after;
  };
}

const outputsOf = new WeakMap<GateConfig, string[]>();

function motionOutputs(gate: GateConfig): string[] {
  let names = outputsOf.get(gate);
  if (names === undefined) {
    names = gate.leaves.flatMap(({ name }) => [`${name}.extend`, `${name}.retract`]);
    outputsOf.set(gate, names);
  }
  return names;
}

export function initialWatch(w: Watched, t: number): Watch {
  const off = { on: false, changedAt: t, held: false };
  return {
    permission: 'off',
    fed: false,
    contacts: Object.fromEntries(w.inputs.map((n) => [n, { on: false, movedAt: t }])),
    outputs: Object.fromEntries(motionOutputs(w.gate).map((n) => [n, off])),
    leaves: Object.fromEntries(w.gate.leaves.map((l) => [l.name, 'unknown' as const])),
    strokes: Object.fromEntries(w.gate.leaves.map((l) => [l.name, 0])),
    homing: false,
    needsConfirm: true,
    waitsFor: null,
    signAt: null,
    loaded: false,
    mustEmpty: false,
    homeFirst: false,
    saidEmpty: false,
    hand: false,
    handSeen: false,
    signalled: false,
    records: true,
    relays: true,
    linkUp: true,
    sampledAt: null,
    tickAt: null,
    touches: {},
  };
}

/** Takes one observation; gives the breaches, each beginning with its rule's number. */
export function watch(
  w: Watched,
  before: Watch,
  seen: Observation,
): { next: Watch; breaches: string[] } {
  const s = structuredCopy(before);
  const breaches: string[] = [];
  const moving = Object.values(before.outputs).some((o) => o.on && !o.held);
  takeContacts(w, s, seen);
  const front = s.contacts['frontShut'];
  const was = before.contacts['frontShut'];
  // One that was not proved shut has been open all along.
  const proved = was?.on === true && seen.t - was.movedAt > w.debounceMs;
  const frontOpened = front?.on === false && proved;
  const beams = Object.keys(s.contacts).filter((n) => n.startsWith('laneClear'));
  const broken = beams.some((n) => s.contacts[n]?.on === false);
  takeLane(w, s, before, seen, frontOpened);
  takePerson(w, s, seen, broken);
  takeTrips(w, s, seen, moving && (front?.on === false || broken));
  checkOutputs(w, s, before, seen, breaches);
  return { next: s, breaches };
}

const LONG_AGO = -1000;
const ageOf = (at: number | null, t: number, limit: number): number | null =>
  at === null ? null : Math.max(at - t, -limit);

/** Where no walk makes so many strokes they need not be counted. */
const countedTo = ({ rehomeAfterStrokes }: GateConfig): number =>
  rehomeAfterStrokes < 1000 ? rehomeAfterStrokes : 0;

/** How old a contact's level is asked of a front that is off or on, of a beam that is on, of an end. */
function ageLimit({ debounceMs, times }: Watched, name: string, on: boolean): number {
  if (name === 'frontShut') return on ? debounceMs + 1 : times.knockMs;
  if (name.startsWith('laneClear')) return on ? debounceMs : 0;
  return name.endsWith('ed') ? debounceMs + 1 : 0;
}

/** What the watcher knows, told from now; ages stop at the greatest limit that they are compared with. */
export function canonicalWatch(w: Watched, s: Watch, t: number): Watch {
  const contacts: Watch['contacts'] = {};
  for (const name of w.inputs) {
    const c = s.contacts[name];
    if (c === undefined) continue;
    contacts[name] = { on: c.on, movedAt: Math.max(c.movedAt - t, -ageLimit(w, name, c.on)) };
  }
  const outputs: Watch['outputs'] = {};
  for (const name of motionOutputs(w.gate)) {
    const o = s.outputs[name];
    if (o === undefined) continue;
    const limit = o.on ? -LONG_AGO : w.gate.deadTimeMs;
    outputs[name] = {
      on: o.on,
      changedAt: Math.max(o.changedAt - t, -limit),
      held: o.on && o.held,
    };
  }
  const strokes: Watch['strokes'] = {};
  for (const leaf of w.gate.leaves)
    strokes[leaf.name] = leaf.endSwitches
      ? 0
      : Math.min(s.strokes[leaf.name] ?? 0, countedTo(w.gate));
  const touches: Watch['touches'] = {};
  for (const [name, one] of Object.entries(s.touches)) {
    if (t - one.renewedAt >= w.times.holdLifeMs) continue;
    const beganAt = one.spent ? LONG_AGO : Math.max(one.beganAt - t, -w.times.holdLongestMs);
    touches[name] = { ...one, beganAt, renewedAt: one.renewedAt - t };
  }
  return {
    permission: s.permission,
    fed: s.fed,
    contacts,
    outputs,
    leaves: s.leaves,
    strokes,
    homing: s.homing,
    needsConfirm: s.needsConfirm,
    waitsFor: s.waitsFor,
    signAt: s.signAt === null || t - s.signAt >= w.gate.laneHoldMs ? null : s.signAt - t,
    loaded: s.loaded,
    mustEmpty: s.mustEmpty,
    homeFirst: s.homeFirst,
    saidEmpty: s.saidEmpty,
    hand: s.hand,
    handSeen: s.hand && s.handSeen,
    signalled: s.signalled,
    records: s.records,
    relays: s.relays,
    linkUp: s.linkUp,
    sampledAt: ageOf(s.sampledAt, t, w.times.sampleLifeMs + 1),
    tickAt: ageOf(s.tickAt, t, w.times.tickGapMs + 1),
    touches,
  };
}

function structuredCopy(watch: Watch): Watch {
  const copyOf = <T extends object>(record: Record<string, T>): Record<string, T> => {
    const copy: Record<string, T> = {};
    for (const [name, value] of Object.entries(record)) copy[name] = { ...value };
    return copy;
  };
  return {
    ...watch,
    contacts: copyOf(watch.contacts),
    outputs: copyOf(watch.outputs),
    leaves: { ...watch.leaves },
    strokes: { ...watch.strokes },
    touches: copyOf(watch.touches),
  };
}

function takeContacts(w: Watched, s: Watch, { t, input }: Observation): void {
  if ('link' in input && input.link === 'inputs') s.linkUp = input.up;
  if ('link' in input && input.link === 'records') s.records = input.up;
  if ('link' in input && input.link === 'relays') s.relays = input.up;
  if (s.linkUp && ('tick' in input || 'input' in input)) s.sampledAt = t;
  if (!('input' in input)) return;
  const contact = s.contacts[input.input];
  if (contact !== undefined && contact.on !== input.on) {
    s.contacts[input.input] = { on: input.on, movedAt: t };
  }
}

/** Rule 4: what tells of somebody in the lane. */
function takeLane(
  w: Watched,
  s: Watch,
  before: Watch,
  { t, scale }: Observation,
  frontOpened: boolean,
): void {
  const front = s.contacts['frontShut'];
  const empty = scale.fresh && scale.occupancy === 'empty';
  const gone = before.loaded && empty;
  if (scale.fresh && scale.occupancy !== 'unknown') s.loaded = scale.occupancy === 'loaded';
  const changed = front !== undefined && front.on !== before.contacts['frontShut']?.on;
  if (changed || gone) s.signAt = t;
  if (frontOpened && !empty && s.contacts['laneClear'] !== undefined) s.waitsFor = 'laneClear';
  if (front === undefined && gone) {
    if (s.contacts['laneClear'] === undefined) s.needsConfirm = true;
  }
  for (const [name, contact] of Object.entries(s.contacts)) {
    if (!name.startsWith('laneClear')) continue;
    if (!contact.on) s.signAt = t;
    const fell = !contact.on && before.contacts[name]?.on === true;
    if (fell && name === s.waitsFor) s.waitsFor = null;
  }
  takeSignalled(w, s, before, t, gone);
  // The word goes with its animal: let go, or seen on the weigh head and then gone.
  if (s.loaded && scale.fresh) s.handSeen = true;
  if ((empty && s.handSeen) || frontOpened) s.hand = false;
}

/** Whoever was let go and went through a front that never opened is perhaps in the lane. */
function takeSignalled(w: Watched, s: Watch, before: Watch, t: number, gone: boolean): void {
  const front = before.contacts['frontShut'];
  if (front === undefined) return;
  const opened = !front.on && t - front.movedAt >= w.times.knockMs;
  const back = s.contacts['backShut']?.on === false;
  if (gone && s.signalled && !opened && s.contacts['frontShut']?.on === true && !back)
    s.needsConfirm = true;
  if (gone || opened) s.signalled = false;
}

/** What a person said. Permission is taken as given even where the core may refuse it. */
function takePerson(w: Watched, s: Watch, { t, input, scale }: Observation, broken: boolean): void {
  if (scale.fresh) s.saidEmpty = false;
  if (!('command' in input)) return;
  const { command } = input;
  switch (command.do) {
    case 'start':
      if (s.permission === 'faulted' || causeStands(w, s, t)) return;
      if (s.permission !== 'on') {
        s.needsConfirm = true;
        s.homing = s.homeFirst || !placed(w, s);
      }
      s.permission = 'on';
      return;
    case 'stop':
      if (s.permission !== 'faulted') s.permission = 'off';
      return;
    case 'pause':
      if (s.permission === 'on') s.permission = 'paused';
      return;
    case 'clear':
      if (s.permission === 'faulted') s.permission = 'off';
      return;
    case 'confirm':
      if (command.what === 'crate') s.saidEmpty ||= !scale.fresh;
      else takeConfirm(s, scale.fresh, broken);
      return;
    case 'exit':
      s.hand = true;
      s.handSeen = scale.fresh && s.loaded;
      return;
    case 'hold':
      takeHold(w, s, command.output, t);
      return;
    default:
  }
}

/** Every leaf at a known end that needs no new look. */
function placed(w: Watched, s: Watch): boolean {
  return w.gate.leaves.every(
    (l) =>
      s.leaves[l.name] !== 'unknown' &&
      (l.endSwitches || (s.strokes[l.name] ?? 0) < w.gate.rehomeAfterStrokes),
  );
}

function takeConfirm(s: Watch, fresh: boolean, broken: boolean): void {
  s.saidEmpty ||= !fresh;
  if (broken || s.contacts['frontShut']?.on === false) return;
  s.needsConfirm = false;
  s.waitsFor = null;
  for (const name of Object.keys(s.strokes)) s.strokes[name] = 0;
}

function takeHold(w: Watched, s: Watch, output: string, t: number): void {
  const leaf = w.gate.leaves.find((l) => l.name === leafOf(output));
  if (leaf === undefined) return;
  for (const [name, one] of Object.entries(s.touches)) if (name !== output) one.left = true;
  const going = alive(w, s, output, t) && s.touches[output]?.left === false;
  const before = s.touches[output];
  if (going && before !== undefined) before.renewedAt = t;
  else s.touches[output] = { beganAt: t, renewedAt: t, spent: false, left: false };
  if (s.permission === 'off') s.permission = 'fitting';
  const opens = output === `${leaf.name}.${leaf.opening}`;
  // One that frees nothing is refused outside fitting: what comes after it is a new press.
  const touch = s.touches[output];
  if (touch !== undefined && s.permission !== 'fitting' && !opens) touch.left = true;
  if (s.permission === 'on' && opens) s.permission = 'paused';
}

function alive(w: Watched, s: Watch, output: string, t: number): boolean {
  const touch = s.touches[output];
  return touch !== undefined && t - touch.renewedAt < w.times.holdLifeMs;
}

/** A cause that stands: a start is refused, a running gate trips. */
function causeStands(w: Watched, s: Watch, t: number): boolean {
  const stale = !s.linkUp || s.sampledAt === null || t - s.sampledAt > w.times.sampleLifeMs;
  return s.contacts['stopLoop']?.on === false || !s.relays || (w.inputs.length > 0 && stale);
}

/** Rules 3, 5, 9: what takes the permission away whatever the program thinks. */
function takeTrips(w: Watched, s: Watch, { t, input }: Observation, intruded: boolean): void {
  const late =
    ('late' in input && input.late > w.times.tickGapMs) ||
    (s.tickAt !== null && t - s.tickAt > w.times.tickGapMs);
  if ('tick' in input) s.tickAt = t;
  if (intruded) {
    s.mustEmpty = true;
    s.homeFirst = true;
    s.saidEmpty = false;
    s.needsConfirm = true;
  }
  const trips = late || causeStands(w, s, t) || intruded;
  // A start that was refused, or never fed, has nothing to lose: the next start is a start.
  if (trips && s.permission !== 'off' && s.permission !== 'faulted')
    s.permission = s.fed ? 'faulted' : 'off';
}

function checkOutputs(
  w: Watched,
  s: Watch,
  before: Watch,
  seen: Observation,
  breaches: string[],
): void {
  const { t, outputs } = seen;
  for (const name of motionOutputs(w.gate)) {
    const on = outputs[name] === true;
    const last = before.outputs[name];
    if (last === undefined) continue;
    if (on && outputs[opposite(name)] === true) breaches.push(`1: ${name} and its other direction`);
    if (on && !last.on) rising(w, s, seen, name, breaches);
    if (on && last.on) staying(w, s, name, last, t, breaches);
    if (!on && last.on) falling(w, s, name, last, t, breaches);
  }
  const anyOn = motionOutputs(w.gate).some((n) => outputs[n] === true);
  if (s.contacts['stopLoop']?.on === false && anyOn)
    breaches.push('3: motion with the stop loop open');
  const touched = Object.keys(s.touches).some((name) => alive(w, s, name, t));
  const started = s.permission !== 'off' && s.permission !== 'faulted';
  if (outputs['keepAlive'] === true && !started && !touched)
    breaches.push('9: keep-alive while not started');
  if (outputs['letGoLamp'] === true) {
    s.signalled = true;
    checkLamp(w, s, anyOn, breaches);
  }
  s.fed = outputs['keepAlive'] === true;
  if (!s.fed && s.permission !== 'faulted') s.permission = 'off';
  for (const leaf of w.gate.leaves) bySwitches(w, s, leaf.name, t, breaches);
  atHome(w, s, anyOn, seen);
}

function rising(w: Watched, s: Watch, seen: Observation, name: string, breaches: string[]): void {
  const { t, scale } = seen;
  const other = s.outputs[opposite(name)];
  const say = (text: string): number => breaches.push(`${text}: ${name}`);
  if (other !== undefined && t - other.changedAt < w.gate.deadTimeMs) say('2: dead time not over');
  // A start ends every press: what goes on while sorting goes on for the animals.
  const held = alive(w, s, name, t) && s.permission !== 'on';
  s.outputs[name] = { on: true, changedAt: t, held };
  const leaf = leafOf(name);
  if (held) {
    s.leaves[leaf] = 'unknown';
    if (s.touches[name]?.spent === true) say('10: no new press');
    return;
  }
  checkPermission(w, s, seen, say);
  const towardsHome = w.gate.exits[w.gate.home]?.[leaf] === endOf(name);
  const unknown = w.gate.leaves.some((l) => {
    const under =
      s.outputs[`${l.name}.extend`]?.on === true || s.outputs[`${l.name}.retract`]?.on === true;
    return l.name !== leaf && s.leaves[l.name] === 'unknown' && !under;
  });
  const overdue = w.gate.leaves.some(
    (l) => !l.endSwitches && (s.strokes[l.name] ?? 0) >= w.gate.rehomeAfterStrokes,
  );
  const sorting = !unknown && s.leaves[leaf] !== 'unknown' && !overdue && (scale.fresh || s.hand);
  if (!sorting && !(s.homing && towardsHome)) {
    if (!scale.fresh && !s.hand) say('8: no fresh weight');
    else say('8: position unknown or to be confirmed');
  }
  if (s.leaves[leaf] === endOf(name) && !s.homing) say('11: driven to where it stands');
  s.leaves[leaf] = 'unknown';
}

/** Rules 3, 4, 5, 7, 8: may a stroke begin? */
function checkPermission(
  w: Watched,
  s: Watch,
  { t, scale }: Observation,
  say: (text: string) => number,
): void {
  if (s.permission === 'faulted' || s.permission === 'off') say('7: nobody started');
  else if (s.permission !== 'on') say('3: not running');
  const seen = Object.keys(s.contacts).filter(
    (n) => n === 'frontShut' || n.startsWith('laneClear'),
  );
  if (seen.length === 0) say('4: neither front contact nor beam');
  for (const contact of seen) {
    const c = s.contacts[contact];
    if (c === undefined || !c.on || t - c.movedAt < w.debounceMs) say(`4: ${contact} not proved`);
  }
  if (s.needsConfirm) say('4: lane not confirmed by eye');
  if (s.waitsFor !== null) say('4: the beam was not broken since the crossing');
  if (s.signAt !== null && t - s.signAt < w.gate.laneHoldMs) say('4: lane occupied');
  const empty = scale.fresh ? scale.occupancy === 'empty' : s.saidEmpty;
  if (s.mustEmpty && !empty) say('5: crate not empty');
  s.mustEmpty = false;
  if (!s.records) say('8: records are not saved');
  if (!w.keepAliveProved) say('8: keep-alive not proved');
  if (w.battery) say('8: no battery reading');
  if (s.contacts['actuatorPower']?.on === false) say('3: rail dead');
}

function staying(
  w: Watched,
  s: Watch,
  name: string,
  last: Output,
  t: number,
  breaches: string[],
): void {
  const leaf = w.gate.leaves.find((l) => l.name === leafOf(name));
  if (leaf !== undefined && t - last.changedAt >= leaf.maxOnMs)
    breaches.push(`6: past the limit: ${name}`);
  const touch = s.touches[name];
  const long = touch !== undefined && t - touch.beganAt >= w.times.holdLongestMs;
  if (last.held && (!alive(w, s, name, t) || long))
    breaches.push(`10: held without a finger: ${name}`);
  if (last.held) return;
  if (s.permission === 'off') breaches.push(`3: on while stopped: ${name}`);
  if (s.permission === 'faulted') breaches.push(`${s.mustEmpty ? '5' : '9'}: on in fault: ${name}`);
}

/** A stroke that nothing cut was a whole one; whatever was cut leaves its leaf somewhere. */
function falling(
  w: Watched,
  s: Watch,
  name: string,
  last: Output,
  t: number,
  breaches: string[],
): void {
  const leaf = w.gate.leaves.find((l) => l.name === leafOf(name));
  if (leaf === undefined) return;
  const onMs = t - last.changedAt;
  const far = s.contacts[`${leaf.name}.${endOf(name)}`];
  const made = far !== undefined && (far.on || t - far.movedAt <= w.debounceMs);
  const whole = !last.held && (leaf.endSwitches ? made : onMs > leaf.maxOnMs - TICK);
  s.outputs[name] = { on: false, changedAt: t, held: last.held };
  const touch = s.touches[name];
  if (touch !== undefined && last.held) touch.spent = true;
  s.leaves[leaf.name] = whole ? endOf(name) : 'unknown';
  if (!s.homing || !whole) s.strokes[leaf.name] = (s.strokes[leaf.name] ?? 0) + 1;
  else s.strokes[leaf.name] = 0;
  if (whole || last.held || s.permission === 'off' || s.permission === 'faulted') return;
  if (Object.values(s.touches).some((touch) => touch.renewedAt === t)) return;
  if (!leaf.endSwitches) {
    breaches.push(`11: stroke not finished: ${name}`);
    return;
  }
  // Its end was not reached: one leaf's fault stops all.
  s.permission = 'faulted';
}

function checkLamp(w: Watched, s: Watch, anyOn: boolean, breaches: string[]): void {
  if (s.permission !== 'on') breaches.push('3: let-go signal while not running');
  if (anyOn) breaches.push('11: let-go signal with a leaf moving');
  const stands = Object.values(w.gate.exits).some((ends) =>
    Object.entries(ends).every(([leaf, end]) => s.leaves[leaf] === end),
  );
  if (!stands) breaches.push('11: let-go signal with no exit open');
}

/** With end switches they say where a leaf stands while nothing drives it. */
function bySwitches(w: Watched, s: Watch, leaf: string, t: number, breaches: string[]): void {
  const extended = s.contacts[`${leaf}.extended`];
  const retracted = s.contacts[`${leaf}.retracted`];
  if (extended === undefined || retracted === undefined) return;
  const settled = [extended, retracted].every((c) => t - c.movedAt >= w.debounceMs);
  const driven =
    s.outputs[`${leaf}.extend`]?.on === true || s.outputs[`${leaf}.retract`]?.on === true;
  if (!settled) return;
  if (extended.on && retracted.on && s.permission !== 'off' && s.permission !== 'fitting') {
    s.permission = 'faulted';
    const held = Object.values(s.outputs).some((o) => o.on && !o.held);
    if (held) breaches.push(`12: motion with both ends of ${leaf} made`);
  }
  if (driven) return;
  s.leaves[leaf] =
    extended.on === retracted.on ? 'unknown' : extended.on ? 'extended' : 'retracted';
}

/** Homing is over once every leaf stands at home, or nobody's start stands any more. */
function atHome(w: Watched, s: Watch, anyOn: boolean, { scale }: Observation): void {
  if (s.permission === 'off' || s.permission === 'faulted') s.homing = false;
  if (!s.homing || anyOn) return;
  const home = Object.entries(w.gate.exits[w.gate.home] ?? {});
  if (!home.every(([leaf, end]) => s.leaves[leaf] === end)) return;
  // Rule 5 asks for an empty crate also where no leaf had to move.
  const empty = scale.fresh ? scale.occupancy === 'empty' : s.saidEmpty;
  if (s.mustEmpty && !empty) return;
  s.homing = s.homeFirst = s.mustEmpty = false;
}
