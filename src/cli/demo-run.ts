/** The demo: a simulated race around the real daemon, with time that a pace can quicken. */
import { createSimulatedBoard, type SimulatedBoard } from '../adapters/relays/simulated.ts';
import type { SiteFacts } from '../config/facts.ts';
import type { ResolvedSite } from '../config/load.ts';
import { startDaemon, type Daemon } from '../daemon.ts';
import type { Loop } from '../loop.ts';
import type { Config } from '../core/step.ts';
import type { Command, Crossing } from '../core/trace.ts';
import { TICK_MS } from '../core/trace.ts';
import { Race } from '../../simulator/race.ts';
import { createRandom } from '../../simulator/random.ts';
import { createWeighHead } from '../../simulator/weigh-head.ts';
import { frame } from '../../simulator/frames.ts';
import { openPty, type Pty } from '../../simulator/pty.ts';
import { decideByWeight } from './demo-truth.ts';
import { sayPage } from './say-page.ts';
import { version } from './version.ts';

export interface DemoOptions {
  site: ResolvedSite;
  facts: SiteFacts;
  animals: number;
  seed: number;
  pace: number;
  /** The demo presses start itself, and what else a person would. */
  attended: boolean;
  page: { host: string; port: number } | null;
  say: (text: string) => void;
}

export interface DemoSummary {
  animals: number;
  logged: number;
  rightLot: number;
  wrongLot: number;
  nearCut: number;
  unsure: number;
  missed: number;
  faults: number;
  lateTicks: number;
  seconds: number;
}

/** Contacts that the simulated race has; end switches come with the gate. */
const CONTACTS = ['frontShut', 'stopLoop', 'actuatorPower', 'laneClear'];
/** Real time that a tick may be late before the simulated clock waits for it, ms. */
const SLIP_MS = 20;

/** Starts the demo; `finished` settles when every lamb has passed and every row is saved. */
export async function createDemo(
  options: DemoOptions,
): Promise<{ finished: Promise<DemoSummary> }> {
  const config = demoConfig(options.site.config);
  let loop: Loop | null = null;
  const random = createRandom(options.seed);
  const race = new Race(random.branch(1), {
    gate: config.gate,
    animals: options.animals,
    oddShare: 0.03,
    exitFor: (kg) => decideByWeight(config.plan, kg).exit,
    heldBack: () => loop?.state.cycle.mode !== 'running',
  });
  const board = createSimulatedBoard(config.inputs);
  const clock = createPacedClock();
  const pty = openPty();
  const daemon = await startDaemon({
    site: options.site,
    facts: options.facts,
    config,
    version: version(),
    clock,
    board,
    scalePort: pty.path,
    page: options.page,
    say: options.say,
  }).catch((error: unknown) => {
    pty.close();
    throw error;
  });
  loop = daemon.loop;
  sayPage(daemon.page);
  const world = createWorld(options, config, race, board, pty, daemon);
  const finished = new Promise<DemoSummary>((resolve, reject) => {
    const end = (): void => {
      void daemon.close().then(() => {
        pty.close();
        resolve(world.summary());
      }, reject);
    };
    drive(options, clock, daemon, world, end);
  });
  return { finished };
}

/** The site's plan and gate on the simulated race's contacts. */
function demoConfig(config: Config): Config {
  const switches = config.gate.leaves
    .filter((leaf) => leaf.endSwitches)
    .flatMap((leaf) => [`${leaf.name}.extended`, `${leaf.name}.retracted`]);
  return { ...config, inputs: [...CONTACTS, ...switches], battery: null, keepAliveProved: true };
}

interface PacedClock {
  now(): number;
  wallAt(t: number): number;
  isSet(): boolean;
  set(t: number): void;
}

/** Simulated time stands still between the ticks that the driver lets it reach. */
function createPacedClock(): PacedClock {
  let t = 0;
  const began = Date.now();
  return {
    now: () => t,
    wallAt: (at) => began + at,
    isSet: () => true,
    set: (to) => {
      t = to;
    },
  };
}

interface World {
  /** Everything up to simulated time t: race, weigh head, board. */
  advance(t: number): void;
  done(): boolean;
  lateTicks: number;
  summary(): DemoSummary;
}

function createWorld(
  options: DemoOptions,
  config: Config,
  race: Race,
  board: SimulatedBoard,
  pty: Pty,
  daemon: Daemon,
): World {
  const { divisionKg, rateHz } = config.scale;
  const head = createWeighHead(createRandom(options.seed).branch(2), { divisionKg, rateHz });
  const tally = createTally(options, config, race, daemon);
  let t = 0;
  const world: World = {
    lateTicks: 0,
    advance: (to) => {
      const levels = {
        ...board.written,
        keepAlive: daemon.loop.last?.outputs['keepAlive'] === true,
      };
      for (const command of race.advance(to, levels)) daemon.loop.command(command);
      for (; t < to; t += 5) {
        const reading = head.sample(t, race.forceKg(t));
        if (reading !== null) pty.write(frame(reading.kg, reading.motion, reading.status));
      }
      board.shown = race.inputs();
      if (options.attended) for (const command of tally.attend(to)) daemon.loop.command(command);
    },
    done: () => race.passed.length >= options.animals && daemon.loop.state.cycle.animal === null,
    summary: () => tally.summary(world.lateTicks, t / 1000),
  };
  return world;
}

interface Tally {
  attend(t: number): Command[];
  summary(lateTicks: number, seconds: number): DemoSummary;
}

/** Counts what was saved against the truth, and gives what a person at the race would press. */
function createTally(options: DemoOptions, config: Config, race: Race, daemon: Daemon): Tally {
  const truth = new Map<number, { kg: number; crossing: Crossing }>();
  const saved = new Set<number>();
  let faults = 0;
  let askedAt = 0;
  daemon.records.onSaved((_session, animal) => saved.add(animal));
  daemon.loop.onEvents((events) => {
    for (const event of events) {
      if (event.kind === 'let-go') {
        truth.set(event.crossing.animal, { kg: race.trueKg(), crossing: event.crossing });
      }
      if (event.kind === 'mode' && event.mode === 'fault') faults += 1;
    }
  });
  return {
    attend: (t) => {
      const { cycle, interlock, faults: list } = daemon.loop.state;
      if (t < 1000 || t - askedAt < 1000) return [];
      askedAt = t;
      if (cycle.mode === 'stopped') return [{ do: 'start' }, { do: 'confirm' }];
      if (cycle.mode === 'fault') return [{ do: 'clear' }, { do: 'start' }, { do: 'confirm' }];
      const look = list.active.some((one) => one.fault === 'position-unproved');
      return look || interlock.lane.needsConfirm ? [{ do: 'confirm' }] : [];
    },
    summary: (lateTicks, seconds) => {
      const rows = [...truth.values()].filter(({ crossing }) => saved.has(crossing.animal));
      const sum = { rightLot: 0, wrongLot: 0, nearCut: 0, unsure: 0 };
      for (const { kg, crossing } of rows) {
        const right = decideByWeight(config.plan, kg);
        if (crossing.lot === null || crossing.unsure) sum.unsure += 1;
        else if (crossing.lot === right.lot) sum.rightLot += 1;
        else if (right.toCutKg <= 0.5) sum.nearCut += 1;
        else sum.wrongLot += 1;
      }
      const { animals } = options;
      const missed = animals - saved.size;
      return { animals, logged: saved.size, ...sum, missed, faults, lateTicks, seconds };
    },
  };
}

/** Runs ticks as real time, times the pace, lets them fall due; simulated time waits when it must. */
function drive(
  options: DemoOptions,
  clock: PacedClock,
  daemon: Daemon,
  world: World,
  end: () => void,
): void {
  let next = 0;
  let realStart = performance.now();
  const turn = (): void => {
    const due = (performance.now() - realStart) * options.pace;
    const slip = SLIP_MS * options.pace;
    if (due - next > slip) {
      world.lateTicks += 1;
      realStart += (due - next) / options.pace;
    }
    for (let n = 0; next <= due && n < SLIP_MS; n += 1) {
      clock.set(next);
      world.advance(next);
      daemon.loop.pump();
      next += TICK_MS;
    }
    if (world.done()) end();
    else setTimeout(turn, 1);
  };
  turn();
}
