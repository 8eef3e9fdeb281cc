/** What the page shows, made from the core's state. Pure; runs on the main thread, ten times a second. */
import { result as faultsResult } from '../../core/faults/faults.ts';
import { batteryLow } from '../../core/interlock/battery.ts';
import { placesLeft, WARN_PLACES } from '../../core/sortplan/capacity.ts';
import { heldBy, heldWords } from '../../core/sortplan/held.ts';
import type { Config, State, Stepped } from '../../core/step.ts';
import type { Crossing, Event, Exit, LinkName } from '../../core/trace.ts';
import type { Ask, Layout, LeafNow, Snapshot, WeightState } from './messages.ts';

/** Animals shown as let go last. */
const LAST = 4;
/** A call or a refusal is shown this long, ms. */
const SAID_MS = 6000;

/** What the state does not hold: it came and went as an event. */
export interface Recent {
  /** Newest first; `saved` once its row is on the card. */
  last: (Crossing & { saved: boolean })[];
  refused: { text: string; at: number } | null;
  called: { text: string; at: number } | null;
}

/** What the core does not know. */
type Besides = Pick<Snapshot, 'doseMl' | 'sessionRev' | 'asks'>;

/** Order of places as an animal sees them; exits with names of their own keep theirs between. */
function place(exit: Exit): number {
  if (exit.startsWith('left')) return 0;
  return exit.startsWith('right') ? 2 : 1;
}

/** Names and shapes that the page draws with, exits by the yard's words too. `id` has to differ from every other layout's. */
export function layoutOf(
  config: Config,
  id: number,
  simulated: boolean,
  exitWords: Readonly<Record<string, string>> = {},
): Layout {
  const { gate, plan, scale } = config;
  return {
    id,
    plan: plan.name,
    exits: Object.entries(gate.exits)
      .map(([exit, ends], at) => {
        const said = exitWords[exit];
        return { exit, ends, flashes: at + 1, ...(said === undefined ? {} : { said }) };
      })
      .sort((one, other) => place(one.exit) - place(other.exit)),
    leaves: gate.leaves.map(({ name, travelMs }) => ({ name, travelMs })),
    lots: plan.lots.map((lot) => ({
      name: lot.name,
      exit: lot.exit,
      belowKg: lot.belowKg ?? null,
      aside: lot.aside === true,
      capacity: lot.capacity ?? null,
      forSlaughter: lot.forSlaughter === true,
    })),
    work: plan.work ?? 'weigh-and-sort',
    marks: plan.marks?.offer ?? [],
    divisionKg: scale.divisionKg,
    simulated,
  };
}

function weightState({ state, weighing }: Pick<Stepped, 'state' | 'weighing'>): WeightState {
  const { animal } = state.cycle;
  if (!weighing.fresh) return 'none';
  if (animal !== null && animal.opening !== null) return 'leaving';
  if (!weighing.zeroKnown) return 'no-zero';
  if (animal === null) return weighing.occupancy === 'loaded' ? 'weighing' : 'empty';
  const byHand = animal.decision?.rule === 'by-hand';
  if (!byHand && (animal.doubtful || animal.decision?.rule === 'unsure')) return 'not-sure';
  if (weighing.estimate === null) return 'coming-on';
  return animal.basis === null ? 'weighing' : 'good';
}

function weightNow(stepped: Pick<Stepped, 'state' | 'weighing'>, t: number): Snapshot['weight'] {
  const { weighing } = stepped;
  const { animal } = stepped.state.cycle;
  const { reading, estimate } = weighing;
  const state = weightState(stepped);
  const ageMs = reading === null ? null : Math.max(0, t - reading.at);
  const nothing = { kg: null, ageMs, u95Kg: null, state };
  if (state === 'none') return nothing;
  if (state === 'leaving') {
    const gone = animal?.crossing ?? null;
    return { ...nothing, kg: gone?.recordedKg ?? null, u95Kg: gone?.uncertaintyKg ?? null };
  }
  if (animal !== null && estimate !== null) {
    return { ...nothing, kg: to(100, estimate.kg), u95Kg: to(100, estimate.u95Kg) };
  }
  return { ...nothing, kg: reading === null ? null : to(100, reading.kg) };
}

function to(parts: number, value: number): number {
  return Math.round(value * parts) / parts;
}

function letGo(state: State): Exit | null {
  const { animal } = state.cycle;
  if (animal === null || animal.readyAt === null || animal.opening !== null) return null;
  return animal.decision?.stay === true ? state.gate.at : (animal.decision?.exit ?? null);
}

function leavesNow(config: Config, state: State): LeafNow[] {
  return config.gate.leaves.map(({ name }) => {
    const leaf = state.gate.leaves[name];
    if (leaf === undefined) return { at: 'unknown', moving: null, assumed: false };
    return { at: leaf.position, moving: leaf.moving, assumed: leaf.assumed };
  });
}

/** What is on the crate, and whether it is still in withdrawal where the plan sends to slaughter. */
function animalNow({ plan }: Config, { cycle }: State): Snapshot['animal'] {
  const { animal } = cycle;
  if (animal === null) return null;
  const { number, tag, known, marks } = animal;
  const held = plan.lots.some((lot) => lot.forSlaughter) ? heldBy(plan, { known, marks }) : null;
  return { number, tag, marks, held: held === null ? null : heldWords(held) };
}

function fillingNow({ plan }: Config, { cycle }: State): Snapshot['filling'] {
  return plan.lots.flatMap((lot) => {
    const left = placesLeft(lot, cycle.counts);
    return left !== null && left <= WARN_PLACES ? [{ lot: lot.name, left }] : [];
  });
}

function asksNow({ state, weighing }: Pick<Stepped, 'state' | 'weighing'>): Ask[] {
  const { cycle, gate, faults } = state;
  const asks: Ask[] = [];
  const going = cycle.mode === 'running' || cycle.mode === 'homing' || cycle.mode === 'paused';
  const found = faultsResult(faults);
  if (cycle.mode === 'fault' && !found.causePresent) asks.push('clear');
  if (!going) return asks;
  const unproved = found.active.some(({ fault }) => fault === 'position-unproved');
  if (gate.laneNeedsConfirm || unproved) asks.push('lane');
  const noZero = weighing.fresh && !weighing.zeroKnown && cycle.animal === null;
  if (noZero || gate.waits.includes('crate')) asks.push('crate');
  const { animal } = cycle;
  if (animal !== null && animal.opening === null && animal.decision !== null) {
    const { exit, stay, flags } = animal.decision;
    if (exit === null && stay !== true) asks.push(flags.includes('lot-full') ? 'full' : 'unsure');
  }
  if (cycle.offerAt !== null) asks.push('tags');
  return asks;
}

function linksNow(
  stepped: Pick<Stepped, 'state' | 'weighing'>,
): Partial<Record<LinkName, boolean>> {
  const { supply } = stepped.state.interlock;
  return { scale: stepped.weighing.fresh, relays: supply.relays, records: supply.records };
}

function battery(config: Config, state: State, t: number): Pick<Snapshot, 'volts' | 'batteryLow'> {
  const { volts, voltsAt } = state.interlock.supply;
  if (config.battery === null || volts === null || voltsAt === null) {
    return { volts: null, batteryLow: false };
  }
  if (t - voltsAt > config.battery.staleMs) return { volts: null, batteryLow: false };
  const low = batteryLow(config.battery, state.interlock.supply);
  return { volts: to(10, volts), batteryLow: low };
}

/**
 * The race at time `t` (ms, the loop's), as the page gets it.
 *
 * @param context `seq` counts up by one a snapshot; `layout` is the id of the layout in force.
 */
function snapshotOf(
  config: Config,
  stepped: Pick<Stepped, 'state' | 'weighing'>,
  t: number,
  context: { seq: number; layout: number; recent: Recent; besides: Besides },
): Snapshot {
  const { state } = stepped;
  const { cycle, gate } = state;
  const { animal } = cycle;
  const { recent } = context;
  const decision = animal?.decision ?? null;
  const wanted = decision?.exit ?? null;
  const waits = wanted !== null && wanted !== gate.at && !gate.moving ? gate.waits : [];
  return {
    seq: context.seq,
    t,
    layout: context.layout,
    mode: cycle.mode,
    why: said(recent.called, t),
    session: cycle.session,
    weight: weightNow(stepped, t),
    animal: animalNow(config, state),
    filling: fillingNow(config, state),
    tagsOff: cycle.tagsOff,
    decision:
      decision === null
        ? null
        : {
            lot: decision.lot,
            exit: decision.exit,
            rule: decision.rule,
            reason: decision.reason,
            spray: decision.mark ?? null,
          },
    letGo: letGo(state),
    leaves: leavesNow(config, state),
    standsAt: gate.at,
    waits: [...waits],
    head: config.plan.lots.map(({ name }) => cycle.counts[name] ?? 0),
    last: recent.last.map(({ animal: number, recordedKg, lot, exit, unsure, saved }) => ({
      animal: number,
      saved,
      kg: recordedKg,
      lot,
      exit,
      unsure,
    })),
    links: linksNow(stepped),
    ...battery(config, state, t),
    faults: faultsResult(state.faults).active.map(({ fault, detail }) => ({
      name: fault,
      detail: detail === '' ? null : detail,
    })),
    refused: said(recent.refused, t),
    ...context.besides,
    asks: [...asksNow(stepped), ...context.besides.asks],
  };
}

function said(what: { text: string; at: number } | null, t: number): string | null {
  return what !== null && t - what.at >= 0 && t - what.at < SAID_MS ? what.text : null;
}

/** Follows the events for the page and counts its snapshots; one a daemon. */
export interface View {
  readonly layout: Layout;
  /** To be told every event, with its time. */
  follow(events: readonly Event[], t: number): void;
  /** To be told when an animal's row is on the card. */
  saved(animal: number): void;
  snapshot(stepped: Pick<Stepped, 'state' | 'weighing'>, t: number, besides: Besides): Snapshot;
  /** After a new configuration: describe the page's new `layout` before the next snapshot. */
  reconfigure(config: Config): void;
}

export function createView(
  first: Config,
  simulated: boolean,
  exitWords: Readonly<Record<string, string>> = {},
): View {
  let config = first;
  let layout = layoutOf(config, 1, simulated, exitWords);
  let seq = 0;
  const recent: Recent = { last: [], refused: null, called: null };
  return {
    get layout() {
      return layout;
    },
    follow(events, t) {
      for (const event of events) {
        if (event.kind === 'let-go')
          recent.last = [{ ...event.crossing, saved: false }, ...recent.last].slice(0, LAST);
        if (event.kind === 'refused') recent.refused = { text: event.reason, at: t };
        if (event.kind === 'call') recent.called = { text: event.reason, at: t };
      }
    },
    saved(animal) {
      // The newest of that number: another session may have had one too.
      const row = recent.last.find((one) => one.animal === animal);
      if (row !== undefined) row.saved = true;
    },
    snapshot(stepped, t, besides) {
      seq++;
      return snapshotOf(config, stepped, t, { seq, layout: layout.id, recent, besides });
    },
    reconfigure(next) {
      config = next;
      layout = layoutOf(config, layout.id + 1, simulated, exitWords);
    },
  };
}
