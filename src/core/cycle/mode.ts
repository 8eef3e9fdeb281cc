/** Start, pause, stop, clear, fitting: nothing moves until a person starts it. */
import type { Command, Mode } from '../trace.ts';
import { severity } from '../faults/table.ts';
import { outputOf } from '../interlock/hold.ts';
import { noUnread } from '../sortplan/unread.ts';
import { refuse, type CycleWork } from './state.ts';

export function setMode(work: CycleWork, mode: Mode, why: string): void {
  if (work.s.mode === mode) return;
  work.s.mode = mode;
  work.s.modeAt = work.t;
  work.events.push({ kind: 'mode', mode, why });
}

/** What changes the mode without a person's command. */
export function followFaults(work: CycleWork): void {
  const { s, sight } = work;
  if (sight.faults.tripped && s.mode !== 'stopped') {
    const first = sight.faults.active.find((a) => severity(a.fault) === 'trip');
    setMode(work, 'fault', first === undefined ? 'fault' : first.fault);
  }
  if (s.mode === 'homing' && sight.gate.homed) setMode(work, 'running', 'every leaf is home');
}

export function start(work: CycleWork, command: Extract<Command, { do: 'start' }>): void {
  const { s, sight } = work;
  if (s.mode === 'running' || s.mode === 'homing') return;
  const against = whyNotStart(work);
  if (against !== null) {
    refuse(work, 'start', against);
    return;
  }
  takeSession(work, command);
  work.request.started = true;
  setMode(work, sight.gate.needsHoming ? 'homing' : 'running', 'a person started');
}

/** Another session's animals would come under this one's numbers: never in the middle of work. */
export function session(work: CycleWork, command: Extract<Command, { do: 'session' }>): void {
  const { mode, session: now } = work.s;
  const another = command.session !== undefined && command.session !== now;
  const standing = mode === 'stopped' || mode === 'fault';
  if (another && !standing) refuse(work, 'session', 'Stop first, then begin another session.');
  else takeSession(work, command);
}

type Takes = Omit<Extract<Command, { do: 'start' }>, 'do'>;

function takeSession({ s, events }: CycleWork, command: Takes): void {
  const another = command.session !== undefined && command.session !== s.session;
  if (another) {
    s.session = command.session ?? null;
    s.counts = {};
    s.nextAnimal = 1;
    s.unread = noUnread;
    s.tagsOff = false;
    s.offerAt = null;
  }
  if (command.nextAnimal !== undefined) s.nextAnimal = command.nextAnimal;
  if (command.counts !== undefined) s.counts = { ...command.counts };
  const a = s.animal;
  if (a === null || a.crossing !== null) return;
  // A number stands for one animal of a session: one that is on the crate gets the new session's.
  if (another) {
    s.animal = { ...a, number: s.nextAnimal };
    events.push({ kind: 'on', animal: s.nextAnimal });
    s.nextAnimal += 1;
  } else s.nextAnimal = Math.max(s.nextAnimal, a.number + 1);
}

function whyNotStart({ s, sight, config }: CycleWork): string | null {
  if (s.mode === 'fault') return 'A fault is not cleared: clear it first.';
  const open = config.notFitted ?? [];
  if (open.length > 0) return `The fitting is not finished: ${open.join(', ')}. See Fitting.`;
  if (sight.contacts.contacts['stopLoop']?.raw === false) {
    return 'The stop loop is open: release the stop first.';
  }
  const present = sight.faults.active.find((a) => a.present && sight.faults.causePresent);
  return present === undefined ? null : `The cause of ${present.fault} is still there.`;
}

export function pause(work: CycleWork): void {
  const { s } = work;
  if (s.mode === 'running' || s.mode === 'homing') setMode(work, 'paused', 'a person paused');
}

/** Taken from anyone, at once. A fault stays a fault. */
export function stop(work: CycleWork): void {
  if (work.s.mode !== 'fault') setMode(work, 'stopped', 'a person stopped');
}

export function clear(work: CycleWork): void {
  const { s, sight } = work;
  if (s.mode !== 'fault') return;
  if (sight.faults.causePresent) {
    refuse(work, 'clear', 'The cause is still there.');
    return;
  }
  work.request.cleared = true;
  setMode(work, 'stopped', 'a person cleared the fault');
}

/**
 * Hold-to-run from stopped enters the fitting mode; elsewhere it only frees a leaf, and whatever was
 * sorting pauses.
 */
export function hold(work: CycleWork, output: string, press: number | null): void {
  const { s, config } = work;
  const meant = outputOf(config.gate, output);
  if (meant === null) {
    refuse(work, 'hold', `The gate has no output ${output}.`);
    return;
  }
  if (s.mode === 'stopped') setMode(work, 'fitting', 'a person holds a leaf button');
  if (s.mode !== 'fitting' && meant.direction !== meant.leaf.opening) {
    refuse(work, 'hold', 'Only the opening direction frees a leaf: stop first for the other.');
    return;
  }
  pause(work);
  work.request.hold = { output, press };
}

/**
 * The wired start and pause buttons. Whoever presses start stands at the race and sees the gate, so
 * the press is the confirmation by eye too.
 */
export function wiredButtons(work: CycleWork): void {
  const { s, t, sight, config } = work;
  const { freshPressMs, stuckMs } = config.times;
  const button = sight.contacts.contacts['startButton'];
  if (button !== undefined) {
    const off = s.startOffAt !== null && t - s.startOffAt >= freshPressMs;
    if (button.rose && off) pressStart(work);
    s.startOffAt = button.level ? null : (s.startOffAt ?? t);
    if (button.level && button.since !== null && t - button.since >= stuckMs) {
      work.conditions.push({ fault: 'start-button-stuck' });
    }
  }
  if (sight.contacts.contacts['pauseButton']?.rose === true) pause(work);
}

/**
 * In a fault the first press clears and the next starts; after something came out while a leaf was
 * moving one press does both, once front and lane are clear. While sorting it only confirms.
 */
function pressStart(work: CycleWork): void {
  const { s, sight } = work;
  if (s.mode === 'fault') {
    const trips = sight.faults.active.filter((a) => severity(a.fault) === 'trip');
    const once = trips.every((a) => a.fault === 'let-out-early' || a.fault === 'lane-entered');
    const blocked = once ? whatBlocks(work) : null;
    if (blocked !== null) {
      refuse(work, 'start', blocked);
      return;
    }
    clear(work);
    if (!once || !work.request.cleared) return;
  }
  start(work, { do: 'start' });
  if (s.mode === 'running' || s.mode === 'homing') work.request.confirmed = true;
}

function whatBlocks({ sight }: CycleWork): string | null {
  const { contacts } = sight.contacts;
  if (contacts['frontShut']?.raw === false) return 'The front is open: shut it first.';
  const blocked = Object.keys(contacts).find(
    (name) => name.startsWith('laneClear') && contacts[name]?.raw === false,
  );
  return blocked === undefined ? null : `Something is in the lane (${blocked}): let it out first.`;
}
