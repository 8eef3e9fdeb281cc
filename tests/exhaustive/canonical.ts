/**
 * The canonical form of a state: two states of one form go on alike. Times are told from now and
 * stop at the greatest limit that anything compares them with; what only gets into words, records or
 * the sounder is left out. Every field is named, so that a new one in the core has to be placed here.
 */
import type { ContactsState } from '../../src/core/contacts/contacts.ts';
import type { AnimalState, CycleState, Opening } from '../../src/core/cycle/state.ts';
import type { FaultsState } from '../../src/core/faults/faults.ts';
import { severity } from '../../src/core/faults/table.ts';
import type {
  GateResult,
  InterlockState,
  LaneState,
  LeafState,
} from '../../src/core/interlock/state.ts';
import type { LeafConfig } from '../../src/core/interlock/gate.ts';
import type { Decision } from '../../src/core/sortplan/plan.ts';
import type { Config, State } from '../../src/core/step.ts';
import type { Times } from '../../src/core/times.ts';

/** The state without the weighing, whose place a few classes of weight take. */
export type CoreState = Omit<State, 'weighing'>;

/** Older than everything that compares ages: only that it is not null counts. */
const LONG_AGO = -1000;

export const ageOf = (at: number | null, t: number, limit: number): number | null =>
  at === null ? null : Math.max(at - t, -limit);

/** An age that is as good as none once it is over the limit. */
const pastOf = (at: number | null, t: number, limit: number): number | null =>
  at === null || t - at >= limit ? null : at - t;

const wasOf = (at: number | null): number | null => (at === null ? null : LONG_AGO);

/**
 * @param enteredAt since when the weight on the crate is there: what the next animal begins with
 */
export function canonicalCore(
  config: Config,
  times: Times,
  core: CoreState,
  t: number,
  enteredAt: number | null,
): CoreState {
  const { animal } = core.cycle;
  const entered = animal !== null && animal.crossing === null ? animal.enteredAt : enteredAt;
  return {
    contacts: contactsOf(config, times, core.contacts, t),
    cycle: cycleOf(config, times, core.cycle, t),
    interlock: interlockOf(config, times, core.interlock, t, core.cycle.mode === 'homing'),
    faults: faultsOf(config, core.faults, entered),
    gate: gateOf(core.gate),
  };
}

function contactsOf(config: Config, times: Times, c: ContactsState, t: number): ContactsState {
  const inputs: ContactsState['inputs'] = {};
  for (const name of config.inputs) {
    const input = c.inputs[name];
    if (input === undefined) continue;
    const { raw, level } = input;
    inputs[name] = {
      raw,
      // Only a level that has not followed yet asks since when.
      rawAt: raw === level ? null : ageOf(input.rawAt, t, config.crate.debounceMs),
      level,
      levelAt: name === 'startButton' ? ageOf(input.levelAt, t, times.stuckMs) : null,
      changesAt: [],
    };
  }
  return { inputs, linkUp: c.linkUp, sampledAt: ageOf(c.sampledAt, t, times.sampleLifeMs + 1) };
}

/** Numbers, counts and tags' runs decide nothing here: one animal is like another. */
function cycleOf(config: Config, times: Times, c: CycleState, t: number): CycleState {
  return {
    mode: c.mode,
    modeAt: null,
    session: null,
    nextAnimal: 2,
    counts: {},
    animal: c.animal === null ? null : animalOf(config, times, c.animal, t),
    pendingTag: c.pendingTag,
    unread: { inRow: 0, offered: false },
    tagsOff: c.tagsOff,
    offerAt: null,
    saying: null,
    loaded: c.loaded,
    frontUnseen: c.frontUnseen ?? false,
    follows: c.follows,
    startOffAt: ageOf(c.startOffAt, t, times.freshPressMs),
    acknowledgedAt: null,
  };
}

function animalOf(config: Config, times: Times, a: AnimalState, t: number): AnimalState {
  return a.crossing === null ? onTheCrate(config, times, a, t) : leaving(a);
}

function onTheCrate(config: Config, times: Times, a: AnimalState, t: number): AnimalState {
  const { crate, plan } = config;
  return {
    ...NOBODY,
    enteredAt: ageOf(a.enteredAt, t, Math.max(plan.decide.callAfterMs, crate.heldCallMs)),
    weighedAt: wasOf(a.weighedAt),
    tag: a.tag,
    known: a.known,
    tagKept: a.tagKept,
    byHand: a.byHand,
    basis: a.basis,
    decision: a.decision === null ? null : decisionOf(a.decision),
    firstDecidedAt: wasOf(a.firstDecidedAt),
    revisions: Math.min(a.revisions, MOST_REVISIONS),
    doubtful: a.doubtful,
    readyAt: wasOf(a.readyAt),
    // That the signal was given once still counts when the weight goes and the front never opened.
    takenBackAt: (a.readyAt === null ? ageOf : pastOf)(a.takenBackAt, t, crate.takeBackMs),
    opening: a.opening === null ? null : openingOf(a.opening, t, times.knockMs),
    flags: a.flags.includes('two-tags') ? ['two-tags'] : [],
  };
}

/** Whoever was let go is only waited for: what was decided is in the record and moves nothing now. */
function leaving({ goneAt }: AnimalState): AnimalState {
  const opening = {
    openAt: LONG_AGO,
    kg: null,
    u95Kg: null,
    exit: null,
    moving: false,
    oddities: [],
  };
  return { ...NOBODY, opening, crossing: CROSSING, goneAt: wasOf(goneAt) };
}

/** Numbers, words and calls are only told. */
const NOBODY: AnimalState = {
  ...{ number: 1, enteredAt: null, weighedAt: null, tag: null, known: null, tagKept: false },
  ...{ byHand: null, marks: [], basis: null, decision: null, firstDecidedAt: null },
  ...{ decidedAt: null, decisionKg: null, goodKg: null, goodU95Kg: null, revisions: 0 },
  ...{ doubtful: false, calledAt: null, waitsAt: null, readyAt: null, takenBackAt: null },
  ...{ opening: null, crossing: null, goneAt: null, flags: [] },
};

/** So many changes and more are alike. */
const MOST_REVISIONS = 2;

/** What the record of a crossing says decides nothing. */
const CROSSING = {
  ...{ animal: 1, session: null, tag: null, enteredAt: null, firstDecidedAt: null },
  ...{ decidedAt: null, letGoAt: null, leftAt: null, lot: null, exit: null, decisionKg: null },
  ...{ recordedKg: null, uncertaintyKg: null, rule: null, reason: null, revisions: 0 },
  ...{ unsure: false, flags: [], marks: [] },
};

function decisionOf({ lot, exit, rule, stay }: Decision): Decision {
  const decision: Decision = { lot, exit, rule, reason: '', flags: [] };
  if (stay !== undefined) decision.stay = stay;
  return decision;
}

function openingOf({ openAt, exit, moving }: Opening, t: number, knockMs: number): Opening {
  const at = Math.max(openAt - t, -knockMs);
  return { openAt: at, kg: null, u95Kg: null, exit, moving, oddities: [] };
}

function interlockOf(
  config: Config,
  times: Times,
  s: InterlockState,
  t: number,
  homing: boolean,
): InterlockState {
  const { gate } = config;
  const leaves: InterlockState['leaves'] = {};
  for (const leaf of gate.leaves) {
    const state = s.leaves[leaf.name];
    if (state !== undefined) leaves[leaf.name] = leafOf(config, leaf, state, t);
  }
  const { first, later } = gate.warnMs;
  const railMs = railWatched(config) ? (gate.dropOutMs ?? 0) + times.railSlackMs + 1 : 0;
  return {
    startedAt: LONG_AGO,
    tickAt: ageOf(s.tickAt, t, times.tickGapMs + 1),
    leaves,
    lane: laneOf(config, times, s.lane, t),
    supply: { ...s.supply, volts: null, voltsAt: null },
    tripped: s.tripped,
    // A start that homes lists them anew.
    toHome: homing ? s.toHome : [],
    homeFirst: s.homeFirst,
    emptyFirst: s.emptyFirst,
    saidEmpty: s.saidEmpty,
    warningAt: ageOf(s.warningAt, t, Math.max(first, later)),
    warned: s.warned,
    strokeBeganAt: pastOf(s.strokeBeganAt, t, gate.staggerMs),
    hold: s.hold === null ? null : holdOf(times, s.hold, t),
    endedPress: s.endedPress,
    silentAt: ageOf(s.silentAt, t, railMs),
    railSeen: s.railSeen,
  };
}

const railWatched = ({ gate, inputs }: Config): boolean =>
  gate.dropOutMs !== null && inputs.includes('actuatorPower');

function leafOf(config: Config, leaf: LeafConfig, l: LeafState, t: number): LeafState {
  const { deadTimeMs, rehomeAfterStrokes } = config.gate;
  const off = Math.max(deadTimeMs, TICK_MS);
  const { stroke } = l;
  const counted = !leaf.endSwitches && strokesCount(config, leaf, l);
  return {
    position: l.position,
    assumed: true,
    strokes: counted ? Math.min(l.strokes, countedTo(rehomeAfterStrokes)) : 0,
    stroke:
      stroke === null
        ? null
        : {
            direction: stroke.direction,
            kind: stroke.kind,
            from: leaf.endSwitches ? stroke.from : 'unknown',
            beganAt: stroke.beganAt - t,
            madeAt: ageOf(stroke.madeAt, t, leaf.overTravelMs),
          },
    extendOffAt: ageOf(l.extendOffAt, t, off),
    retractOffAt: ageOf(l.retractOffAt, t, off),
    dutyUsedMs: 0,
    dutyAt: null,
  };
}

const TICK_MS = 20;

/** Where nothing asks for their number, homing asks of a leaf that stands at home whether there was one. */
function strokesCount({ gate }: Config, { name }: LeafConfig, { position }: LeafState): boolean {
  return gate.rehomeAfterStrokes !== NEVER || position === gate.exits[gate.home]?.[name];
}

/** No walk here makes so many strokes; then only whether there was one counts, which homing asks. */
export const NEVER = 1_000_000;
const countedTo = (strokes: number): number => (strokes === NEVER ? 1 : strokes);

function laneOf(config: Config, times: Times, l: LaneState, t: number): LaneState {
  return {
    needsConfirm: l.needsConfirm,
    waitsFor: l.waitsFor,
    waitedFor: l.waitedFor,
    openedAt: ageOf(l.openedAt, t, times.knockMs),
    signAt: pastOf(l.signAt, t, config.gate.laneHoldMs),
    loaded: l.loaded,
    passer: l.passer,
  };
}

type Hold = NonNullable<InterlockState['hold']>;

function holdOf(times: Times, h: Hold, t: number): Hold {
  return {
    output: h.output,
    press: h.press,
    beganAt: h.spent ? LONG_AGO : Math.max(h.beganAt - t, -times.holdLongestMs),
    renewedAt: Math.max(h.renewedAt - t, -times.holdLifeMs),
    spent: h.spent,
  };
}

/** What the cycle reads of it, all else is shown or told. */
function gateOf(g: GateResult): GateResult {
  return {
    at: g.at,
    moving: g.moving,
    warning: false,
    warningAt: null,
    warnsFirst: false,
    needsHoming: g.needsHoming,
    homed: g.homed,
    laneClear: false,
    laneNeedsConfirm: false,
    tripped: g.tripped,
    waits: [],
    leaves: {},
  };
}

type Active = FaultsState['active'][number];

/**
 * Which trip it is only gets into words; that one is there, that its cause is present, and (for a
 * wired start) that nothing but an intrusion tripped counts. Of the others two hold back animals
 * that came after them.
 */
function faultsOf(config: Config, { active }: FaultsState, enteredAt: number | null): FaultsState {
  const wired = config.inputs.includes('startButton');
  const kept: Active[] = [];
  for (const group of ['tick-late', 'let-out-early'] as const) {
    const own = active.filter(
      ({ fault }) =>
        severity(fault) === 'trip' && (wired && isIntrusion(fault)) === (group !== 'tick-late'),
    );
    if (own.length === 0) continue;
    const present = own.some((a) => a.present);
    kept.push({ fault: group, sinceAt: LONG_AGO, present, detail: '' });
  }
  for (const { fault, sinceAt, present } of active) {
    if (fault !== 'records-not-saved' && fault !== 'battery-low') continue;
    const before = enteredAt === null || sinceAt <= enteredAt;
    kept.push({ fault, sinceAt: before ? LONG_AGO : 0, present, detail: '' });
  }
  return { active: kept };
}

const isIntrusion = (fault: string): boolean =>
  fault === 'let-out-early' || fault === 'lane-entered';
