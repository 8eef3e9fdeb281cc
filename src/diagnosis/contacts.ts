/** The contacts: switches that bounce, wires that drop out, contacts that no longer change. */
import { isButton } from '../core/contacts/contacts.ts';
import { finding, type Finding } from './finding.ts';
import { stretchesOn, type Level, type Seen } from './seen.ts';

/** Changes this near to each other belong together, ms. */
const TOGETHER_MS = 150;
/** More changes at once than a bounce has. */
const MOST_BOUNCES = 9;
/** An opening of the stop this short is nobody's press, ms. */
const FLICKER_MS = 80;
/** Bounces of so many, and of this share of all changes, are worth a look (no source). */
const LEAST_BOUNCES = 3;
const BOUNCING_SHARE = 0.25;
const LEAST_DROPS = 2;

interface Burst {
  changes: number;
  ms: number;
  /** The level was another after it than before. */
  changed: boolean;
}

export function judgeContacts(seen: Seen): Finding[] {
  const names = Object.keys(seen.inputs).filter((name) => !isButton(name));
  return names.flatMap((name) => {
    const levels = seen.inputs[name] ?? [];
    const found = name === 'stopLoop' ? flickers(levels) : edges(name, levels);
    return found.length > 0 ? found : stuck(seen, name, levels);
  });
}

function burstsOf(levels: readonly Level[]): Burst[] {
  const bursts: Burst[] = [];
  const changes = levels.slice(1).filter(({ on }, i) => on !== levels[i]?.on);
  let from = 0;
  for (const [i, { t }] of changes.entries()) {
    const next = changes[i + 1];
    if (next !== undefined && next.t - t <= TOGETHER_MS) continue;
    const count = i - from + 1;
    bursts.push({ changes: count, ms: t - (changes[from]?.t ?? t), changed: count % 2 === 1 });
    from = i + 1;
  }
  return bursts;
}

function edges(name: string, levels: readonly Level[]): Finding[] {
  const bursts = burstsOf(levels);
  // An animal's legs break a beam as often as they like.
  const beam = name.startsWith('laneClear');
  const wild = bursts.filter(({ changes }) => changes > MOST_BOUNCES);
  const drops = beam
    ? []
    : bursts.filter(({ changed, changes }) => !changed && changes < MOST_BOUNCES);
  const bounces = beam ? [] : bursts.filter(({ changed, changes }) => changed && changes > 1);
  const settled = bursts.filter(({ changed }) => changed).length;
  if (wild.length > 0 || drops.length >= LEAST_DROPS) {
    const times = wild.length + drops.length;
    const longest = Math.max(...[...wild, ...drops].map(({ ms }) => ms));
    const said = `${name}: dropped out ${times} time(s), for ${longest} ms at the longest`;
    return [finding('wire-loose', name, times, 'times', said)];
  }
  if (bounces.length < LEAST_BOUNCES || bounces.length < BOUNCING_SHARE * settled) return [];
  const most = Math.max(...bounces.map(({ changes }) => changes));
  const said = `${name}: ${bounces.length} of ${settled} changes bounced, up to ${most} edges for one`;
  return [finding('switch-bounces', name, bounces.length, 'times', said)];
}

function flickers(levels: readonly Level[]): Finding[] {
  const short = burstsOf(levels).filter(({ changed, ms }) => !changed && ms <= FLICKER_MS);
  const [first] = short;
  if (first === undefined) return [];
  const said = `stopLoop: open ${short.length} time(s) for no longer than ${Math.max(20, first.ms)} ms`;
  return [finding('wire-loose', 'stopLoop', short.length, 'times', said)];
}

/** After so many occasions a contact that has not changed is stuck. */
const OCCASIONS = 3;

function stuck(seen: Seen, name: string, levels: readonly Level[]): Finding[] {
  const last = levels.at(-1) ?? { t: 0, on: false };
  const missed = occasions(seen, name, last.on).filter((t) => t > last.t + 1000).length;
  if (missed < OCCASIONS) return [];
  const said = `${name}: ${last.on ? 'on' : 'off'} through ${missed} occasions to change`;
  return [finding('contact-stuck', name, missed, 'times', said)];
}

/** Times at which this contact must have changed from that level. */
function occasions(seen: Seen, name: string, on: boolean): number[] {
  const crossings = seen.events.flatMap(({ t, event }) => (event.kind === 'left' ? [t] : []));
  if (name === 'frontShut' || name === 'laneClear') return on ? crossings : [];
  if (name === 'actuatorPower' && !on) {
    return stretchesOn(seen.outputs['keepAlive'], seen.endT)
      .filter(({ from, to }) => to - from > 2000)
      .map(({ to }) => to);
  }
  const [leaf, end] = name.split('.');
  const ever = (seen.inputs[name] ?? []).some((level) => level.on);
  // One that was never seen made may belong to a leaf that never came there.
  if ((end !== 'extended' && end !== 'retracted') || !ever) return [];
  const toward = end === 'extended' ? 'extend' : 'retract';
  const away = end === 'extended' ? 'retract' : 'extend';
  const strokes = stretchesOn(seen.outputs[`${leaf ?? ''}.${on ? away : toward}`], seen.endT);
  return strokes.filter(({ from, to }) => to - from > 400).map(({ to }) => to);
}
