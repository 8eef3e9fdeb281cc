/**
 * One animal from empty to empty, and the person's commands: start, pause, stop, by hand. It wishes;
 * the interlock moves.
 */
import type { Command, Event, Exit, Input, KnownFacts, Mark } from '../trace.ts';
import type { Condition } from '../faults/faults.ts';
import { refusal } from '../sortplan/decide.ts';
import { heldBy } from '../sortplan/held.ts';
import { withMark } from '../sortplan/marks.ts';
import { noUnread } from '../sortplan/unread.ts';
import { unanswered } from './calls.ts';
import { begin, followAnimal } from './crossing.ts';
import { wantedExit } from './decide-animal.ts';
import * as mode from './mode.ts';
import {
  refuse,
  type AnimalState,
  type CycleConfig,
  type CycleResult,
  type CycleSight,
  type CycleState,
  type CycleWork,
} from './state.ts';

export function initial(): CycleState {
  return {
    mode: 'stopped',
    modeAt: null,
    session: null,
    nextAnimal: 1,
    counts: {},
    animal: null,
    pendingTag: null,
    unread: noUnread,
    tagsOff: false,
    offerAt: null,
    saying: null,
    loaded: false,
    follows: false,
    startOffAt: null,
    acknowledgedAt: null,
  };
}

/** Takes one input and the other modules' results. */
export function cycle(
  config: CycleConfig,
  state: CycleState,
  input: Input,
  sight: CycleSight,
): { state: CycleState; result: CycleResult; events: Event[]; conditions: Condition[] } {
  const work: CycleWork = {
    config,
    s: { ...state },
    t: input.t,
    sight,
    request: {
      mode: state.mode,
      exit: null,
      byHand: false,
      started: false,
      cleared: false,
      confirmed: false,
      crateSeenEmpty: false,
      hold: null,
    },
    zero: false,
    crateEmpty: false,
    events: [],
    conditions: [],
  };
  mode.followFaults(work);
  if ('command' in input) command(work, input.command);
  if ('tag' in input) readTag(work, input.tag, input.known ?? null);
  mode.wiredButtons(work);
  otherButtons(work);
  followAnimal(work);
  const { s, request } = work;
  request.mode = s.mode;
  request.exit = s.animal === null ? null : wantedExit(work, s.animal);
  request.byHand = s.animal?.decision?.rule === 'by-hand';
  conditions(work);
  const result = { request, zero: work.zero, crateEmpty: work.crateEmpty };
  return { state: s, result, events: work.events, conditions: work.conditions };
}

function command(work: CycleWork, command: Command): void {
  switch (command.do) {
    case 'start':
      mode.start(work, command);
      return;
    case 'session':
      mode.session(work, command);
      return;
    case 'pause':
      mode.pause(work);
      return;
    case 'stop':
      mode.stop(work);
      return;
    case 'clear':
      mode.clear(work);
      return;
    case 'hold':
      mode.hold(work, command.output, command.press ?? null);
      return;
    case 'exit':
      byHand(work, command.exit, command.animal ?? null);
      return;
    case 'confirm':
      if (command.what === 'crate') work.crateEmpty = work.request.crateSeenEmpty = true;
      else work.request.confirmed = true;
      return;
    case 'zero':
      zero(work);
      return;
    case 'mark':
      mark(work, command);
      return;
    case 'answer':
      answer(work, command);
      return;
  }
}

/** The animal on the crate that has not been let go, if it is the one that is meant. */
function present({ s }: CycleWork, number: number | null): AnimalState | null {
  const a = s.animal;
  if (a === null || a.opening !== null) return null;
  return number === null || number === a.number ? a : null;
}

function byHand(work: CycleWork, exit: Exit, number: number | null): void {
  const { s, config, sight } = work;
  if (config.gate.exits[exit] === undefined) {
    refuse(work, 'exit', `The gate has no exit ${exit}.`);
    return;
  }
  const sorting = s.mode === 'running' || s.mode === 'paused' || s.mode === 'homing';
  if (s.animal === null && number === null && sorting && !sight.weighing.fresh) begin(work, null);
  const a = present(work, number);
  if (a === null) {
    const which = number === null ? 'No animal is on the crate.' : `Animal ${number} has gone.`;
    refuse(work, 'exit', which);
    return;
  }
  const against = refusal(config.plan, a, exit);
  if (against !== null) {
    refuse(work, 'exit', against);
    if (heldBy(config.plan, a) !== null) s.saying = { what: 'refused', beganAt: work.t };
    return;
  }
  s.animal = { ...a, byHand: exit };
}

function zero(work: CycleWork): void {
  if (work.s.animal !== null) refuse(work, 'zero', 'An animal is on the crate.');
  else work.zero = true;
}

function mark(work: CycleWork, command: Extract<Command, { do: 'mark' }>): void {
  const a = present(work, command.animal ?? null);
  if (a === null) refuse(work, 'mark', 'That animal has gone.');
  else if (command.mark !== undefined) giveMark(work, a, command.mark);
}

function giveMark(work: CycleWork, a: AnimalState, given: Mark): void {
  const marks = withMark(a.marks, given);
  if (typeof marks === 'string') {
    refuse(work, 'mark', marks);
    return;
  }
  const what = given.value === false ? 'unmarked' : 'marked';
  work.s.animal = { ...a, marks };
  work.s.saying = { what, beganAt: work.t };
}

/** The operator's answer to a call: a lot, to carry on without tags, or just that it was heard. */
function answer(work: CycleWork, command: Extract<Command, { do: 'answer' }>): void {
  const { s, config } = work;
  s.acknowledgedAt = work.t;
  if (command.answer === 'carry-on-without-tags') answerOffer(work, true);
  if (command.answer === 'with-tags') answerOffer(work, false);
  if (command.lot === undefined) return;
  const lot = config.plan.lots.find((l) => l.name === command.lot);
  if (lot === undefined) refuse(work, 'answer', `The plan has no lot ${command.lot}.`);
  else byHand(work, lot.exit, null);
}

function answerOffer({ s }: CycleWork, tagsOff: boolean): void {
  s.tagsOff = tagsOff;
  s.offerAt = null;
}

/**
 * A tag read while an animal is on and not yet let go is that animal's; read at any other time it
 * is the next one's.
 */
function readTag(work: CycleWork, tag: string, known: KnownFacts | null): void {
  const { s } = work;
  s.offerAt = null;
  const a = present(work, null);
  if (a === null) {
    s.pendingTag = { tag, known, kept: false };
    return;
  }
  if (a.tag === null || a.tagKept) s.animal = { ...a, tag, known, tagKept: false };
  else if (a.tag !== tag && !a.flags.includes('two-tags')) {
    const facts = bothFree(a.known, known) ? a.known : UNCLEAR;
    s.animal = { ...a, known: facts, flags: [...a.flags, 'two-tags'] };
  }
}

/** Of two tags on one animal nobody knows which is its own: it is free only if both are. */
const UNCLEAR: KnownFacts = { held: null, list: null, lastKg: null, lastDays: null };
function bothFree(one: KnownFacts | null, other: KnownFacts | null): boolean {
  return one?.held === false && other?.held === false;
}

/**
 * Wired buttons besides start and pause. An exit button binds to the animal on the crate at the press
 * and is ignored from letting go until the next is on; with no weight, the press itself says that.
 */
function otherButtons(work: CycleWork): void {
  const { s, config, sight } = work;
  const pressed = (name: string): boolean => sight.contacts.contacts[name]?.rose === true;
  for (const exit of Object.keys(config.gate.exits)) {
    if (!pressed(`exitButton.${exit}`)) continue;
    const nobody = s.animal === null && !sight.weighing.fresh;
    if (present(work, null) !== null || nobody) byHand(work, exit, null);
  }
  const a = present(work, null);
  if (pressed('undoButton') && a !== null) s.animal = { ...a, byHand: null };
  if (pressed('zeroButton')) zero(work);
  markButtons(work, pressed);
  if (pressed('answerButton')) answerButton(work);
}

/** A press gives the button's mark; one more takes it away again. With nobody on it says nothing. */
function markButtons(work: CycleWork, pressed: (name: string) => boolean): void {
  for (const [name, given] of Object.entries(work.config.markButtons ?? {})) {
    const a = pressed(`markButton.${name}`) ? present(work, null) : null;
    if (a === null) continue;
    const has = a.marks.some((one) => one.name === given.name && one.value === given.value);
    giveMark(work, a, has ? { name: given.name, value: false } : given);
  }
}

/**
 * Says that a call was heard. While it is offered to carry on without tags a second press takes the
 * offer: one that silences a call, the offer's own or another, never does.
 */
function answerButton(work: CycleWork): void {
  const { s, sight } = work;
  const calls = Object.values(unanswered(s, sight.faults));
  s.acknowledgedAt = work.t;
  if (s.offerAt !== null && calls.every((since) => since === null)) answerOffer(work, true);
}

function conditions(work: CycleWork): void {
  const { s, sight } = work;
  const { weighing } = sight;
  heldLong(work);
  const working = s.mode === 'running' || s.mode === 'homing' || s.mode === 'paused';
  if (!working) return;
  if (!weighing.fresh) work.conditions.push({ fault: 'scale-lost' });
  if (work.request.confirmed && s.frontUnseen === true) s.frontUnseen = false;
  if (s.frontUnseen === true) work.conditions.push({ fault: 'front-unseen' });
  if (weighing.oddities.includes('zero-unknown')) work.conditions.push({ fault: 'zero-unknown' });
}

/** It is held by the crate, whatever the gate does; at a fitting those who see to it stand there. */
function heldLong({ s, t, config, conditions }: CycleWork): void {
  const a = s.animal;
  if (s.mode === 'fitting' || a === null || a.enteredAt === null || a.opening !== null) return;
  if (t - a.enteredAt >= config.crate.heldCallMs) conditions.push({ fault: 'held-long' });
}
