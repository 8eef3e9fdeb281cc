/** Is anybody in the lane behind the gate? Occupied unless there is good reason to say otherwise. */
import type { Times } from '../times.ts';
import type { Exit } from '../trace.ts';
import type { ContactsResult } from '../contacts/contacts.ts';
import type { LaneState, Sight } from './state.ts';

export interface LaneSigns {
  sight: Sight;
  /** Where the gate stands: the exit that a crossing leaves by, or null. */
  at: Exit | null;
  started: boolean;
  confirmed: boolean;
  /** An animal went that no contact saw go. */
  unseen?: boolean;
  times: Pick<Times, 'knockMs'>;
}

export function initialLane(): LaneState {
  return {
    needsConfirm: true,
    waitsFor: null,
    waitedFor: null,
    openedAt: null,
    signAt: null,
    loaded: false,
    passer: false,
  };
}

/** Every fitted beam: `laneClear` and `laneClear.<exit>`. */
export function beams(contacts: ContactsResult): string[] {
  return Object.keys(contacts.contacts).filter(
    (name) => name === 'laneClear' || name.startsWith('laneClear.'),
  );
}

/** The crate was seen loaded and now is seen empty. */
export function weightGone(lane: LaneState, sight: Sight): boolean {
  return lane.loaded && sight.crateEmpty;
}

/** The weight went although front and back are shut: over a side, perhaps into the lane. */
export function jumpedOut(lane: LaneState, sight: Sight): boolean {
  const { frontShut, backShut } = sight.contacts.contacts;
  return weightGone(lane, sight) && frontShut?.raw === true && backShut?.raw === true;
}

/** Takes this step's signs. A person's word counts only while front and beams agree with it. */
export function watchLane(before: LaneState, t: number, signs: LaneSigns): LaneState {
  const { sight } = signs;
  const { contacts } = sight.contacts;
  const front = contacts['frontShut'];
  const broken = beams(sight.contacts).filter((name) => contacts[name]?.raw === false);
  const gone = weightGone(before, sight);
  const lane = { ...before };
  if (sight.crateLoaded || sight.crateEmpty) lane.loaded = sight.crateLoaded;
  watchFront(lane, t, signs, before);
  if (jumpedOut(before, sight)) lane.needsConfirm = true;
  const sign = front?.fell === true || front?.rose === true || gone || broken.length > 0;
  if (sign) lane.signAt = t;
  // A beam that somebody else stands in says nothing of this crossing: it has to break anew.
  if (lane.waitsFor !== null && contacts[lane.waitsFor]?.fell === true) lane.waitsFor = null;
  if (signs.started || signs.unseen === true) lane.needsConfirm = true;
  if (signs.confirmed && broken.length === 0 && front?.raw !== false) {
    lane.needsConfirm = false;
    lane.waitsFor = null;
  }
  return lane;
}

/** A crossing: the front opens under an animal; with no front contact, the weight goes. */
function watchFront(lane: LaneState, t: number, signs: LaneSigns, before: LaneState): void {
  const { sight } = signs;
  const gone = weightGone(before, sight);
  const front = sight.contacts.contacts['frontShut'];
  if (front === undefined) {
    // With no front contact the beam may break before the hind feet are off the crate.
    const fell = beams(sight.contacts).some((name) => sight.contacts.contacts[name]?.fell === true);
    lane.passer = lane.loaded && (lane.passer || fell);
    if (gone && !before.passer && !fell) crossed(lane, signs);
    return;
  }
  if (front.fell) {
    lane.openedAt = t;
    lane.waitedFor = lane.waitsFor;
    lane.passer = false;
    if (!sight.crateEmpty) crossed(lane, signs);
  }
  if (!front.level) {
    // A second one came on while the front stood open and left again: no contact counted it.
    if (lane.passer && gone) lane.needsConfirm = true;
    if (!lane.loaded) lane.passer = true;
    return;
  }
  const knocked = lane.openedAt !== null && t - lane.openedAt < signs.times.knockMs;
  if (front.rose && knocked) lane.waitsFor = lane.waitedFor;
  lane.openedAt = null;
  lane.waitedFor = null;
  lane.passer = false;
}

function crossed(lane: LaneState, { sight, at }: LaneSigns): void {
  const { contacts } = sight.contacts;
  const fitted = beams(sight.contacts);
  const own = `laneClear.${at ?? ''}`;
  // One beam broken once cannot tell of two animals: the one before may still stand in the lane.
  if (lane.waitsFor !== null) lane.needsConfirm = true;
  if (contacts[own] !== undefined) lane.waitsFor = own;
  else if (contacts['laneClear'] !== undefined) lane.waitsFor = 'laneClear';
  else if (contacts['frontShut'] === undefined || (at === null && fitted.length > 0)) {
    lane.needsConfirm = true;
  }
}

/** The lane after its hold time, with no beam still to be broken by the last crossing. */
export function laneClear(
  lane: LaneState,
  t: number,
  contacts: ContactsResult,
  holdMs: number,
): boolean {
  const names = beams(contacts);
  const seen = names.length > 0 || contacts.contacts['frontShut'] !== undefined;
  if (!seen || lane.needsConfirm || lane.waitsFor !== null) return false;
  if (names.some((name) => contacts.contacts[name]?.level !== true)) return false;
  return lane.signAt === null || t - lane.signAt >= holdMs;
}
