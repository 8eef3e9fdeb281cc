/** What takes all motion off at once, found from raw contacts, links and the clock alone. */
import type { Input } from '../trace.ts';
import type { Condition } from '../faults/faults.ts';
import { beams, jumpedOut, weightGone } from './lane.ts';
import type { InterlockState, Sight } from './state.ts';
import type { Work } from './work.ts';

/** Looks at this step's input against the state before it. */
export function trips(work: Work, before: InterlockState, input: Input): Condition[] {
  const { t, request, sight, config, s } = work;
  const { contacts, fresh, linkUp, chattering } = sight.contacts;
  const stopped = request.mode === 'stopped';
  const sinceStart = s.startedAt === null ? 0 : t - s.startedAt;
  const idle = stopped && sinceStart < config.times.firstSamplesMs;
  const still = !stopped && stoodStill(work, before, input);
  // Samples that only the standing still made old say nothing of the board that gave them.
  const lost = !fresh && !(still && linkUp);
  const found: Condition[] = [];
  if (still) found.push({ fault: 'tick-late' });
  if (!idle && contacts['stopLoop']?.raw === false) found.push({ fault: 'stop-pressed' });
  if (!idle && Object.keys(contacts).length > 0 && lost) found.push({ fault: 'inputs-lost' });
  if (!s.supply.relays) found.push({ fault: 'relays-lost' });
  for (const detail of chattering) found.push({ fault: 'input-chatters', detail });
  return [...found, ...rail(work), ...intruded(before, sight)];
}

function stoodStill({ config }: Work, before: InterlockState, input: Input): boolean {
  const { tickGapMs } = config.times;
  if ('late' in input && input.late > tickGapMs) return true;
  return before.tickAt !== null && input.t - before.tickAt > tickGapMs;
}

function rail({ config, s, t, sight }: Work): Condition[] {
  const power = sight.contacts.contacts['actuatorPower'];
  if (power === undefined) return [];
  if (s.silentAt === null) return s.railSeen && power.fell ? [{ fault: 'rail-dead' }] : [];
  const { dropOutMs } = config.gate;
  if (dropOutMs === null || t - s.silentAt <= dropOutMs + config.times.railSlackMs) return [];
  return power.raw ? [{ fault: 'rail-live' }] : [];
}

/** The front opened or the lane was entered with a leaf under way (not one held by a person). */
function intruded(before: InterlockState, sight: Sight): Condition[] {
  const under = Object.values(before.leaves).some(
    (leaf) => leaf.stroke !== null && leaf.stroke.kind !== 'hold',
  );
  if (!under) return [];
  const { contacts } = sight.contacts;
  const front = contacts['frontShut'];
  if (front?.raw === false) return [{ fault: 'let-out-early' }];
  if (front === undefined && weightGone(before.lane, sight)) return [{ fault: 'let-out-early' }];
  const broken = beams(sight.contacts).some((name) => contacts[name]?.raw === false);
  return broken || jumpedOut(before.lane, sight) ? [{ fault: 'lane-entered' }] : [];
}
