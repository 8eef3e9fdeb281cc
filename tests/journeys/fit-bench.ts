/** The real service with its page before a simulated box, gate and crate, with faults such as fitters make. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { startClock } from '../../src/adapters/clock/clock.ts';
import { setPin } from '../../src/adapters/page/secrets.ts';
import type { Board } from '../../src/adapters/relays/board.ts';
import { loadSite, type ResolvedSite } from '../../src/config/load.ts';
import type { Config } from '../../src/core/step.ts';
import { startDaemon, type Daemon } from '../../src/daemon.ts';
import { Circuit, STEP_MS } from '../../simulator/circuit.ts';
import { frame } from '../../simulator/frames.ts';
import { openPty } from '../../simulator/pty.ts';

export const FITTER = '13579135';

/** Wall ms with its fractions: the browser's clock too. */
export const wallMs = (): number => performance.timeOrigin + performance.now();

export interface FitBench {
  url: string;
  port: number;
  siteDir: string;
  daemon: Daemon;
  /** Motion outputs as they changed at the relays. */
  relays: { atMs: number; output: string; on: boolean }[];
  /** Contacts as somebody works them; the rail’s and the stop loop’s are the circuit’s own. */
  contacts: Record<string, boolean>;
  faults: {
    /** Wires that are broken: their input reads off whatever its contact does. */
    broken: Set<string>;
    /** Leaves whose two leads are swapped. */
    wrongWay: Set<string>;
    /** The two leaves are wired to each other’s relays. */
    crossed: boolean;
  };
  stopPressed: boolean;
  /** Weight on the load bars, kg. */
  kg: number;
  /** Where the leaf really is: 0 in, 1 out. */
  place(leaf: string): number;
  on(output: string): boolean;
  /** Ends the service and starts it again, as after a reboot of the machine. */
  restart(): Promise<void>;
  close(): Promise<void>;
}

/** A site whose box drives relays, so that it needs a fitting; with known PINs. */
async function fitSite(): Promise<string> {
  const dir = mkdtempSync(join(tmpdir(), 'fank-fit-'));
  loaded(dir);
  const file = join(dir, 'site.yaml');
  writeFileSync(file, readFileSync(file, 'utf8').replace('board: simulated', 'board: pi-gpio'));
  await setPin(dir, 'operator', '246810');
  await setPin(dir, 'installer', FITTER);
  return dir;
}

/** What a box on a bench shows; its drop-out relay is reset by whoever stands beside it. */
class Box implements Board {
  readonly inputs: string[];
  readonly relays: FitBench['relays'] = [];
  readonly written: Record<string, boolean> = {};
  readonly #bench: Pick<FitBench, 'contacts' | 'faults' | 'stopPressed'>;
  readonly #circuit: Circuit;
  #edge = false;
  #steppedMs = performance.now();

  constructor(config: Config, bench: Pick<FitBench, 'contacts' | 'faults' | 'stopPressed'>) {
    this.inputs = config.inputs;
    this.#bench = bench;
    this.#circuit = new Circuit(config.gate, 0.75);
  }

  place(leaf: string): number {
    return this.#circuit.place(leaf);
  }

  read(): Record<string, boolean> {
    this.#advance();
    const { contacts, faults, stopPressed } = this.#bench;
    const shown: Record<string, boolean> = {
      ...contacts,
      stopLoop: !stopPressed,
      actuatorPower: this.#circuit.railLive(),
    };
    return Object.fromEntries(
      this.inputs.map((name) => [name, shown[name] === true && !faults.broken.has(name)]),
    );
  }

  write(levels: Record<string, boolean>): boolean {
    for (const [output, on] of Object.entries(levels)) {
      if ((this.written[output] ?? false) === on) continue;
      this.written[output] = on;
      if (/\.(extend|retract)$/.test(output)) this.relays.push({ atMs: wallMs(), output, on });
    }
    return true;
  }

  edge(): void {
    this.#edge = true;
  }

  volts(): null {
    return null;
  }

  close(): void {
    for (const output of Object.keys(this.written)) this.write({ [output]: false });
  }

  #advance(): void {
    const { stopPressed } = this.#bench;
    for (; this.#steppedMs + STEP_MS <= performance.now(); this.#steppedMs += STEP_MS) {
      this.#circuit.advance({
        levels: this.#wired(),
        edge: this.#edge,
        stopPressed,
        resetPressed: true,
        broken: new Set(),
      });
      this.#edge = false;
    }
  }

  /** The outputs as they arrive at the actuators, by how somebody wired them. */
  #wired(): Record<string, boolean> {
    const { wrongWay, crossed } = this.#bench.faults;
    const arrive: Record<string, boolean> = {};
    for (const [output, on] of Object.entries(this.written)) {
      const [leaf = '', way = ''] = output.split('.');
      const to = crossed ? (leaf === 'leafA' ? 'leafB' : 'leafA') : leaf;
      const other = way === 'extend' ? 'retract' : 'extend';
      arrive[`${to}.${wrongWay.has(to) ? other : way}`] = on;
    }
    return arrive;
  }
}

function loaded(siteDir: string): ResolvedSite {
  const site = loadSite(siteDir);
  if (!site.ok) throw new Error(site.errors.map(({ message }) => message).join('; '));
  return site.value;
}

/** @param change what of the configuration is other than the profiles say */
export async function openFitBench(
  webDir: string,
  change: (config: Config) => Config = (config) => config,
): Promise<FitBench> {
  const siteDir = await fitSite();
  const pty = openPty();
  let boots = 0;
  let box: Box;
  let ticking: NodeJS.Timeout;
  const bench = {
    siteDir,
    contacts: { frontShut: true, laneClear: true },
    faults: { broken: new Set<string>(), wrongWay: new Set<string>(), crossed: false },
    stopPressed: false,
    kg: 0,
    port: 0,
    place: (leaf: string) => box.place(leaf),
    on: (output: string) => box.written[output] === true,
  } as unknown as FitBench;
  const start = async (): Promise<void> => {
    const site = loaded(siteDir);
    const config = change(site.config);
    boots += 1;
    box = new Box(config, bench);
    bench.relays = box.relays;
    bench.daemon = await startDaemon({
      ...{ site, config, board: box, clock: startClock(), version: 'test' },
      facts: { listOf: () => null, treatments: [] },
      scalePort: pty.path,
      boot: `start ${String(boots)}`,
      page: { host: '127.0.0.1', port: bench.port, webDir },
      say: () => undefined,
    });
    bench.port = bench.daemon.page?.port ?? 0;
    bench.url = `http://127.0.0.1:${String(bench.port)}/`;
    const turn = (): void => {
      bench.daemon.loop.pump();
      ticking = setTimeout(turn, bench.daemon.loop.untilTick());
    };
    turn();
  };
  const end = async (): Promise<void> => {
    clearTimeout(ticking);
    await bench.daemon.close();
  };
  const weighing = setInterval(() => pty.write(frame(bench.kg, false)), 100);
  bench.restart = async () => {
    await end();
    await start();
  };
  bench.close = async () => {
    clearInterval(weighing);
    await end();
    pty.close();
    rmSync(siteDir, { recursive: true, force: true });
  };
  await start();
  return bench;
}
