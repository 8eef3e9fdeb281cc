/** One animal from coming on to gone: begins it, notices the front, ends the crossing. */
import type { Crossing, KnownFacts } from '../trace.ts';
import { decideAnimal, roundKg, signalAnimal } from './decide-animal.ts';
import { WARN_PLACES } from '../sortplan/capacity.ts';
import { heldFlags } from '../sortplan/held.ts';
import { afterAnimal } from '../sortplan/unread.ts';
import type { AnimalState, CycleWork, Opening, PendingTag } from './state.ts';

/** Moves the animal on by one step. */
export function followAnimal(work: CycleWork): void {
  const { s, sight } = work;
  if (s.animal === null) maybeBegin(work);
  const animal = s.animal;
  if (animal !== null && animal.crossing === null) s.animal = onTheCrate(work, animal);
  else if (animal !== null) s.animal = leaving(work, animal);
  s.loaded = sight.weighing.occupancy === 'loaded';
}

function maybeBegin(work: CycleWork): void {
  const { s, sight } = work;
  const front = sight.contacts.contacts['frontShut'];
  const loaded = sight.weighing.occupancy === 'loaded';
  if (front?.level === false) {
    if (s.loaded && sight.weighing.occupancy === 'empty' && sorting(s.mode)) uncounted(work);
    return;
  }
  if (loaded && sorting(s.mode)) begin(work, sight.weighing.enteredAt);
  else if (!loaded) s.follows = false;
}

function uncounted({ events }: CycleWork): void {
  const reason = 'an animal went through with the front open: it is not counted';
  events.push({ kind: 'call', reason });
}

const sorting = (mode: string): boolean => mode !== 'stopped' && mode !== 'fitting';

/** Begins the next animal; `enteredAt` null where no weigh head saw it come. */
export function begin(work: CycleWork, enteredAt: number | null): void {
  const { s } = work;
  const pending = s.pendingTag;
  s.animal = {
    number: s.nextAnimal,
    enteredAt,
    weighedAt: null,
    tag: pending?.tag ?? null,
    known: knownOf(work, pending),
    tagKept: pending?.kept ?? false,
    byHand: null,
    marks: [],
    basis: null,
    decision: null,
    firstDecidedAt: null,
    decidedAt: null,
    decisionKg: null,
    goodKg: null,
    goodU95Kg: null,
    revisions: 0,
    doubtful: false,
    calledAt: null,
    waitsAt: null,
    readyAt: null,
    takenBackAt: null,
    opening: null,
    crossing: null,
    goneAt: null,
    flags: s.follows ? ['follower'] : s.loaded ? ['on-at-start'] : [],
  };
  s.follows = false;
  s.nextAnimal += 1;
  s.pendingTag = null;
  work.events.push({ kind: 'on', animal: s.animal.number });
}

/** A tag kept from an animal that backed out may be another's: it frees nobody while a treatment is open. */
function knownOf({ config }: CycleWork, pending: PendingTag | null): KnownFacts | null {
  if (pending === null) return null;
  const doubt = pending.kept && config.plan.medicine?.untaggedHeld === true;
  return doubt ? null : pending.known;
}

function onTheCrate(work: CycleWork, before: AnimalState): AnimalState | null {
  const { t, sight, config } = work;
  const front = sight.contacts.contacts['frontShut'];
  let a = before;
  if (a.opening === null && front?.raw === false) a = { ...a, opening: openingNow(work, a) };
  if (a.opening !== null && front !== undefined) {
    const knock = t - a.opening.openAt < config.times.knockMs;
    if (!knock) return letGo(work, a, a.opening);
    return front.raw ? { ...a, opening: null } : a;
  }
  if (sight.weighing.occupancy === 'empty' && a.enteredAt !== null) return gone(work, a);
  if (passedUnweighed(work, a)) return gone(work, a);
  a = a.enteredAt === null ? { ...a, enteredAt: sight.weighing.enteredAt } : a;
  return signalAnimal(work, decideAnimal(work, a));
}

/** With neither weight nor front contact a beam alone tells that this one has gone. */
function passedUnweighed({ sight }: CycleWork, a: AnimalState): boolean {
  const { contacts } = sight.contacts;
  if (a.enteredAt !== null || sight.weighing.fresh || contacts['frontShut'] !== undefined) {
    return false;
  }
  return Object.entries(contacts).some(([name, c]) => name.startsWith('laneClear') && c.fell);
}

function openingNow({ t, sight }: CycleWork, a: AnimalState): Opening {
  const { estimate, oddities } = sight.weighing;
  return {
    openAt: t,
    kg: estimate === null ? null : roundKg(estimate.kg),
    u95Kg: estimate === null ? null : roundKg(estimate.u95Kg),
    exit: sight.gate.at,
    moving: sight.gate.moving,
    oddities: a.byHand === null ? [...oddities] : [],
  };
}

/** The weight went with the front shut: backed out. With no front contact that is the crossing. */
function gone(work: CycleWork, a: AnimalState): AnimalState | null {
  const { s, t, sight } = work;
  if (sight.contacts.contacts['frontShut'] === undefined) {
    const last = { kg: a.goodKg, u95Kg: a.goodU95Kg };
    const over = letGo(work, a, { ...openingNow(work, a), ...last });
    return endCrossing(work, { ...over, goneAt: t });
  }
  // After *let go* somebody may well have opened a front whose switch is stuck.
  const signalled = a.readyAt !== null || a.takenBackAt !== null;
  if (signalled && sight.contacts.contacts['backShut']?.raw !== false) {
    s.frontUnseen = work.request.unseen = true;
  }
  work.events.push({ kind: 'backed-out', animal: a.number });
  if (a.tag !== null) s.pendingTag ??= { tag: a.tag, known: a.known, kept: true };
  return null;
}

/** The row that the records keep: how it stood when the front opened. */
function letGo(work: CycleWork, a: AnimalState, opening: Opening): AnimalState {
  const { s, sight } = work;
  const seen = sight.contacts.contacts['frontShut'] !== undefined;
  const crossing: Crossing = {
    animal: a.number,
    session: s.session,
    tag: a.tag,
    enteredAt: a.enteredAt,
    firstDecidedAt: a.firstDecidedAt,
    decidedAt: a.decidedAt,
    letGoAt: seen ? opening.openAt : null,
    leftAt: null,
    lot: a.decision?.lot ?? null,
    exit: opening.exit,
    decisionKg: a.decisionKg,
    recordedKg: opening.kg,
    uncertaintyKg: opening.u95Kg,
    rule: a.decision?.rule ?? null,
    reason: a.decision?.reason ?? null,
    revisions: a.revisions,
    unsure: isUnsure(a, opening),
    flags: flagsOf(work, a, opening),
    marks: a.marks,
  };
  if (crossing.lot !== null) {
    s.counts = { ...s.counts, [crossing.lot]: (s.counts[crossing.lot] ?? 0) + 1 };
    sayFilling(work, crossing.lot);
  }
  countUnread(work, a);
  work.events.push({ kind: 'let-go', crossing });
  return { ...a, opening, crossing };
}

/** Five places before a lot is full, and when it is: said aloud, so that room is made in time. */
function sayFilling({ s, t, config, events }: CycleWork, name: string): void {
  const lot = config.plan.lots.find((one) => one.name === name);
  if (lot?.capacity === undefined) return;
  const left = lot.capacity - (s.counts[name] ?? 0);
  if (left !== WARN_PLACES && left !== 0) return;
  const reason = left === 0 ? `${name} is full` : `five places left in ${name}`;
  events.push({ kind: 'call', reason });
  s.saying = { what: 'filling', beganAt: t };
}

function isUnsure(a: AnimalState, opening: Opening): boolean {
  return (
    a.decision === null || a.decision.rule === 'unsure' || a.doubtful || opening.oddities.length > 0
  );
}

function flagsOf({ s, sight, config }: CycleWork, a: AnimalState, opening: Opening): string[] {
  const flags = [...a.flags, ...(a.decision?.flags ?? []), ...opening.oddities];
  const fronted = sight.contacts.contacts['frontShut'] !== undefined;
  if (opening.moving) flags.push('let-out-early');
  else if (fronted && a.readyAt === null) flags.push('opened-early');
  const meant = a.decision?.exit ?? null;
  if (meant !== null && opening.exit !== null && opening.exit !== meant) flags.push('wrong-way');
  if (s.mode !== 'running') flags.push(`while-${s.mode}`);
  flags.push(...heldFlags(config.plan, a));
  return [...new Set(flags)];
}

/** Three tags in a row not read: once a session it is offered to carry on without. */
function countUnread(work: CycleWork, a: AnimalState): void {
  const { s, config } = work;
  const tagsOff = s.tagsOff || config.noReader === true;
  const { run, offer } = afterAnimal(config.plan, s.unread, a.tag, tagsOff);
  s.unread = run;
  if (!offer) return;
  s.offerAt = work.t;
  const reason = 'three tags in a row were not read: carry on without tags?';
  work.events.push({ kind: 'call', reason });
}

/** After letting go: gone when the weight has gone, over when the front is proved shut. */
function leaving(work: CycleWork, before: AnimalState): AnimalState | null {
  const { t, sight } = work;
  let a = before;
  if (a.goneAt !== null && work.s.loaded && sight.weighing.occupancy === 'empty') uncounted(work);
  if (a.goneAt === null && sight.weighing.occupancy === 'empty') a = { ...a, goneAt: t };
  const front = sight.contacts.contacts['frontShut'];
  return front === undefined || front.rose ? endCrossing(work, a) : a;
}

function endCrossing(work: CycleWork, a: AnimalState): null {
  work.s.follows = a.goneAt === null;
  if (a.crossing !== null) {
    const flags = a.goneAt === null ? [...a.crossing.flags, 'weight-stayed'] : a.crossing.flags;
    const leftAt = a.goneAt ?? work.t;
    work.events.push({ kind: 'left', crossing: { ...a.crossing, flags, leftAt } });
  }
  return null;
}
