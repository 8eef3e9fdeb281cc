/** Is anybody in the lane behind the gate? Occupied unless there is good reason to say otherwise. */
import type { ContactsResult } from '../contacts/contacts.ts';
import type { LaneState } from './state.ts';

export interface LaneSigns {
  contacts: ContactsResult;
  loaded: boolean;
  started: boolean;
  confirmed: boolean;
}

export function initialLane(): LaneState {
  return { needsConfirm: true, waiting: 'no', signAt: null, loaded: false };
}

/** Every fitted beam: `laneClear` and `laneClear.<exit>`. */
export function beams(contacts: ContactsResult): string[] {
  return Object.keys(contacts.contacts).filter(
    (name) => name === 'laneClear' || name.startsWith('laneClear.'),
  );
}

/** Takes this step's signs. A person's word counts only while front and beams agree with it. */
export function watchLane(lane: LaneState, t: number, signs: LaneSigns): LaneState {
  const { contacts } = signs;
  const front = contacts.contacts['frontShut'];
  const names = beams(contacts);
  const broken = names.some((name) => contacts.contacts[name]?.raw === false);
  const gone = lane.loaded && !signs.loaded;
  const opened = front?.fell === true;
  let { needsConfirm, waiting, signAt } = lane;

  const crossed = front === undefined ? gone : opened;
  if (crossed) {
    if (names.length > 0) waiting = 'break';
    else if (front === undefined) needsConfirm = true;
  }
  if (opened || front?.rose === true || gone || broken) signAt = t;
  if (broken && waiting === 'break') waiting = 'clear';
  if (signs.started) needsConfirm = true;
  if (signs.confirmed && !broken && front?.raw !== false) {
    needsConfirm = false;
    waiting = 'no';
  }
  return { needsConfirm, waiting, signAt, loaded: signs.loaded };
}

/** The lane after its hold time: `waiting` for the beam ends when the beam has stayed clear. */
export function laneClear(
  lane: LaneState,
  t: number,
  contacts: ContactsResult,
  holdMs: number,
): boolean {
  const names = beams(contacts);
  const seen = names.length > 0 || contacts.contacts['frontShut'] !== undefined;
  if (!seen || lane.needsConfirm || lane.waiting === 'break') return false;
  if (names.some((name) => contacts.contacts[name]?.level !== true)) return false;
  return lane.signAt === null || t - lane.signAt >= holdMs;
}
