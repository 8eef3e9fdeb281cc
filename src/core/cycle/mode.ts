/** Start, pause, stop, clear, fitting: nothing moves until a person starts it. */
import type { Command, Mode } from '../trace.ts';
import { refuse, type CycleWork } from './state.ts';

/** A fresh press of the wired start: seen off this long, then on. */
const FRESH_MS = 500;
/** A start button on for this long is stuck. */
const STUCK_MS = 10_000;

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
    const first = sight.faults.active[0];
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
  if (command.session !== undefined && command.session !== s.session) {
    s.session = command.session;
    s.counts = {};
    s.nextAnimal = 1;
  }
  if (command.nextAnimal !== undefined) s.nextAnimal = command.nextAnimal;
  if (command.counts !== undefined) s.counts = { ...command.counts };
  work.request.started = true;
  setMode(work, sight.gate.needsHoming ? 'homing' : 'running', 'a person started');
}

function whyNotStart({ s, sight }: CycleWork): string | null {
  if (s.mode === 'fault') return 'A fault is not cleared: clear it first.';
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

/** Hold-to-run from stopped enters the fitting mode; elsewhere it only frees a leaf. */
export function hold(work: CycleWork, output: string): void {
  if (work.s.mode === 'stopped') setMode(work, 'fitting', 'a person holds a leaf button');
  work.request.hold = output;
}

/**
 * The wired start and pause buttons. Whoever presses start stands at the race and sees the gate, so
 * the press is the confirmation by eye too. In a fault the first press clears and the next starts,
 * but after a let-out-early one press does both.
 */
export function wiredButtons(work: CycleWork): void {
  const { s, t, sight } = work;
  const button = sight.contacts.contacts['startButton'];
  if (button !== undefined) {
    if (button.rose && s.startOffAt !== null && t - s.startOffAt >= FRESH_MS) pressStart(work);
    s.startOffAt = button.level ? null : (s.startOffAt ?? t);
    if (button.level && button.since !== null && t - button.since >= STUCK_MS) {
      work.conditions.push({ fault: 'start-button-stuck' });
    }
  }
  if (sight.contacts.contacts['pauseButton']?.rose === true) pause(work);
}

function pressStart(work: CycleWork): void {
  const { s, sight } = work;
  const trips = sight.faults.active.filter((a) => a.fault !== 'held-long');
  const early = trips.some((a) => a.fault === 'let-out-early');
  if (s.mode === 'fault') {
    clear(work);
    if (!early || !work.request.cleared) return;
  }
  start(work, { do: 'start' });
  if (work.request.started) work.request.confirmed = true;
}
