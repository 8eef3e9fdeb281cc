import { performance } from 'node:perf_hooks';
import { fileURLToPath } from 'node:url';
import type { Worker } from 'node:worker_threads';
import type { SiteChange } from '../../config/site-change.ts';
import type { Command } from '../../core/trace.ts';
import { startThread } from '../thread.ts';
import { sharedMs } from './shared-clock.ts';
import type { SessionOrder, SessionShown } from '../session.ts';
import type {
  CommandAnswer,
  FreshPins,
  FromPage,
  Layout,
  LinkFigures,
  PageThreadData,
  Snapshot,
  ToPage,
  Who,
} from './messages.ts';
import type { FittingAnswer, FittingAsk } from '../../fitting/view.ts';

/** Least time between two snapshots that are passed on, ms: ten a second. */
const SNAPSHOT_EVERY_MS = 100;
/** Snapshots on their way to the page thread; beyond this they are dropped. */
const MOST_ON_THE_WAY = 3;
/** A dead page thread is started again after this, doubling up to the longest, ms. */
const RESTART_FIRST_MS = 500;
const RESTART_LONGEST_MS = 10_000;

export type ChangeHandler = (change: SiteChange) => Promise<CommandAnswer>;
export type FittingHandler = (ask: FittingAsk) => Promise<FittingAnswer>;
type OrderHandler = (order: SessionOrder, who: Who) => Promise<CommandAnswer>;
export type CommandHandler = (command: Command, who: Who) => Promise<CommandAnswer>;

export interface PageOptions {
  /** Site folder: PINs and sign-ins are kept there. */
  siteDir: string;
  /** URL of the module that reads the day book (see `BookModule`); null or left out: none. */
  bookModule?: string | null;
  /** URL of the module that searches a line (see `SearchModule`); left out: none. */
  searchModule?: string;
  /** Address to listen at, e.g. `0.0.0.0`. */
  host: string;
  /** 0: any free port. */
  port: number;
  version: string;
  /** Names, besides addresses and localhost, by which browsers may call it, e.g. `fank.local`. */
  names?: string[];
  /** Looking needs no PIN (the default). */
  openLooking?: boolean;
  /** IANA time zone of the site; left out: UTC. */
  zone?: string;
  /** Folder of the built page; by default `dist/web` of this package. */
  webDir?: string;
}

/** The page, as the main thread sees it. */
export interface Page {
  /** e.g. `http://127.0.0.1:8080`. */
  readonly address: string;
  readonly port: number;
  /** PINs made at this start because the site folder had none; show them once. */
  readonly freshPins: FreshPins | null;
  /** True when a snapshot would be passed on now: build one only then. */
  wants(): boolean;
  /** Passes a snapshot on, at most ten a second; never waits, and drops it when the page is slow. */
  publish(snapshot: Snapshot): void;
  /** Names and shapes; call before the first snapshot and whenever plan or site change. */
  describe(layout: Layout): void;
  /** How the links are heard; about once a second. */
  links(figures: LinkFigures[]): void;
  /** The session as it stands; whenever it changes. */
  session(session: SessionShown): void;
  /** One handler; it answers what a person says of the session. */
  onOrder(handler: OrderHandler): void;
  /** One handler; it answers every command, also stop. */
  onCommand(handler: CommandHandler): void;
  /** One handler: writes a change of the site and takes it into use. */
  onChange(handler: ChangeHandler): void;
  /** One handler: the fitting. */
  onFitting(handler: FittingHandler): void;
  /** Told when the page thread dies (false) and when it serves again (true). */
  onLink(handler: (up: boolean) => void): void;
  close(): Promise<void>;
}

/** Folder of the built page, from compiled code (`dist/src/…`) as well as from the sources. */
function builtPage(): string {
  const up = import.meta.url.endsWith('.ts') ? '../../../dist/web' : '../../../web';
  return fileURLToPath(new URL(up, import.meta.url));
}

interface Running {
  worker: Worker;
  ready: Extract<FromPage, { kind: 'ready' }>;
}

/** Starts one page thread; rejects with words for people when it cannot serve. */
async function startWorker(data: PageThreadData): Promise<Running> {
  const worker = startThread('worker', import.meta.url, data);
  const message = await new Promise<FromPage>((resolve, reject) => {
    worker.once('message', resolve);
    worker.once('error', reject);
    worker.once('exit', (code) => {
      reject(new Error(`The page thread ended with code ${String(code)} before it served`));
    });
  });
  if (message.kind === 'ready') return { worker, ready: message };
  void worker.terminate();
  throw new Error(message.kind === 'failed' ? message.reason : `Unexpected ${message.kind}`);
}

/**
 * Starts the page's thread and serves.
 *
 * @throws Error whose message says what happened and what to do, e.g. when the port is taken.
 */
export async function startPage(options: PageOptions): Promise<Page> {
  const data: PageThreadData = {
    siteDir: options.siteDir,
    bookModule: options.bookModule ?? null,
    searchModule: options.searchModule ?? null,
    host: options.host,
    port: options.port,
    webDir: options.webDir ?? builtPage(),
    names: options.names ?? [],
    openLooking: options.openLooking ?? true,
    zone: options.zone ?? 'UTC',
    version: options.version,
  };
  const first = await startWorker(data);
  return new ThreadPage({ ...data, port: first.ready.port }, first);
}

class ThreadPage implements Page {
  readonly address: string;
  readonly port: number;
  readonly freshPins: FreshPins | null;
  #data: PageThreadData;
  #worker: Worker | null = null;
  #layout: Layout | null = null;
  #session: SessionShown | null = null;
  #handler: CommandHandler | null = null;
  #orders: OrderHandler | null = null;
  #changes: ChangeHandler | null = null;
  #fitting: FittingHandler | null = null;
  #link: (up: boolean) => void = () => undefined;
  #lastMs = -Infinity;
  #onTheWay = 0;
  #restartMs = RESTART_FIRST_MS;
  #closing = false;

  constructor(data: PageThreadData, first: Running) {
    this.#data = data;
    this.address = first.ready.address;
    this.port = first.ready.port;
    this.freshPins = first.ready.freshPins;
    this.#adopt(first.worker);
  }

  wants(): boolean {
    const room = this.#worker !== null && this.#onTheWay < MOST_ON_THE_WAY;
    return room && performance.now() - this.#lastMs >= SNAPSHOT_EVERY_MS;
  }

  publish(snapshot: Snapshot): void {
    if (!this.wants()) return;
    this.#lastMs = performance.now();
    this.#onTheWay++;
    this.#send({ kind: 'snapshot', snapshot });
  }

  describe(layout: Layout): void {
    this.#layout = layout;
    this.#send({ kind: 'layout', layout });
  }

  links(links: LinkFigures[]): void {
    this.#send({ kind: 'links', links });
  }

  session(session: SessionShown): void {
    this.#session = session;
    this.#send({ kind: 'session', session });
  }

  onOrder(handler: OrderHandler): void {
    this.#orders = handler;
  }

  onCommand(handler: CommandHandler): void {
    this.#handler = handler;
  }

  onChange(handler: ChangeHandler): void {
    this.#changes = handler;
  }

  onFitting(handler: FittingHandler): void {
    this.#fitting = handler;
  }

  onLink(handler: (up: boolean) => void): void {
    this.#link = handler;
  }

  async close(): Promise<void> {
    this.#closing = true;
    const worker = this.#worker;
    if (worker === null) return;
    const gone = new Promise<void>((resolve) => {
      worker.once('exit', () => {
        resolve();
      });
    });
    const late = setTimeout(() => void worker.terminate(), 2000);
    this.#send({ kind: 'close' });
    await gone;
    clearTimeout(late);
  }

  #send(message: ToPage): void {
    this.#worker?.postMessage(message);
  }

  #adopt(worker: Worker): void {
    this.#worker = worker;
    this.#onTheWay = 0;
    worker.on('message', (message: FromPage) => {
      if (message.kind === 'taken') this.#onTheWay--;
      if (message.kind === 'command') {
        void this.#answer(message.id, () => this.#command(message));
      }
      if (message.kind === 'fitting') {
        const { id } = message;
        void this.#fitting?.(message.ask).then((answer) => {
          this.#send({ kind: 'fitting', id, answer });
        });
      }
      if (message.kind === 'order') {
        void this.#answer(message.id, () => this.#orders?.(message.order, message.who));
      }
      if (message.kind === 'change') {
        void this.#answer(message.id, () => this.#changes?.(message.change));
      }
    });
    // Without a listener an error in the thread would end the daemon; its exit follows.
    worker.on('error', () => undefined);
    worker.on('exit', () => {
      this.#worker = null;
      if (this.#closing) return;
      this.#link(false);
      this.#restartSoon();
    });
    if (this.#layout !== null) this.#send({ kind: 'layout', layout: this.#layout });
    if (this.#session !== null) this.#send({ kind: 'session', session: this.#session });
  }

  #command(asked: Extract<FromPage, { kind: 'command' }>): Promise<CommandAnswer> | undefined {
    const { command, who, untilMs } = asked;
    if (untilMs === null || sharedMs() <= untilMs) return this.#handler?.(command, who);
    return Promise.resolve({ ok: false, reason: 'That came too late: let go and press again' });
  }

  #restartSoon(): void {
    const timer = setTimeout(() => {
      if (this.#closing) return;
      startWorker(this.#data).then(
        ({ worker }) => {
          this.#restartMs = RESTART_FIRST_MS;
          if (this.#closing) {
            void worker.terminate();
            return;
          }
          this.#adopt(worker);
          this.#link(true);
        },
        () => {
          this.#restartMs = Math.min(this.#restartMs * 2, RESTART_LONGEST_MS);
          this.#restartSoon();
        },
      );
    }, this.#restartMs);
    timer.unref();
  }

  async #answer(id: number, ask: () => Promise<CommandAnswer> | undefined): Promise<void> {
    let answer: CommandAnswer = { ok: false, reason: 'Fank is starting and takes no commands yet' };
    try {
      answer = (await ask()) ?? answer;
    } catch (error) {
      answer = { ok: false, reason: error instanceof Error ? error.message : String(error) };
    }
    this.#send({ kind: 'answer', id, answer });
  }
}
