/** The weigh head's line, which the fitting borrows to listen on while the race stands still. */
import type { ListenOptions } from './adapters/scan/listen.ts';
import type { Scale, ScaleHealth } from './adapters/scale/port.ts';
import type { FittingAnswer, FittingAsk, LineLent, Question } from './fitting/view.ts';
import { createScan } from './listen/scan.ts';
import type { Loop } from './loop.ts';

/** The module that says what the line tells, in the page's thread (see `SearchModule`). */
export const SEARCH_MODULE = import.meta.url.endsWith('.ts')
  ? new URL('./line-search.ts', import.meta.url).href
  : new URL('./line-search.js', import.meta.url).href;

/** Long enough to fetch a known weight. */
const LASTS_S = 180;

const NO_PORT = 'No serial port of a weigh head is set: set scale.port in site.yaml.';

export interface LineLoan {
  health: () => ScaleHealth;
  /** Null where something else was asked. */
  asked(ask: FittingAsk): Promise<LineLent | null>;
  /** The port is soon the weigh head's again. */
  back(): void;
  close(): Promise<void>;
}

interface LoanOptions {
  loop: Loop;
  /** The port; null where the head is on none. */
  path: string | null;
  /** Opens the weigh head, as often as its line was lent. */
  open: () => Scale;
  listen: (options: ListenOptions) => Promise<void>;
  /** Monotonic whole ms. */
  now: () => number;
}

/**
 * The port is opened by this thread alone: serialport ends the whole program where another thread
 * opens one. Only what is cheap runs here; what the bytes mean is found out elsewhere.
 */
export function openLoan({ loop, path, open, listen, now }: LoanOptions): LineLoan {
  let scale: Scale | null = open();
  let last = scale.health();
  let scan = createScan();
  let opening: string | null = null;
  let trouble: string | null = null;
  let running = Promise.resolve();
  let ends = false;
  let closed = false;
  const borrow = async (port: string, ask: Question | null): Promise<void> => {
    await scale?.close();
    scale = null;
    loop.arrive((t) => ({ t, link: 'scale', up: false }));
    await listen({
      ...{ path: port, seconds: LASTS_S, scan, now, ask },
      onTurn: () => ends,
      onOpening: ({ baud, framing }) => {
        opening = `${baud} ${framing}`;
      },
    }).catch((error: unknown) => {
      trouble = error instanceof Error ? error.message : String(error);
    });
    if (!closed) scale = open();
  };
  const lend = (ask: Question | null): LineLent => {
    if (path === null) return { refused: NO_PORT };
    const refused = loop.whyNotReconfigure() ?? (scale === null ? 'It is lent already.' : null);
    if (refused !== null || scale === null) return { refused };
    last = scale.health();
    scan = createScan();
    [opening, trouble, ends] = [null, null, false];
    running = borrow(path, ask);
    return { refused: null };
  };
  const heard = (from: number): LineLent => {
    const { text, ...found } = scan.found();
    const on = scale === null;
    return { refused: null, line: { ...found, on, opening, trouble, text: text.slice(from) } };
  };
  const back = (): void => {
    ends = true;
  };
  // Whoever starts the race wants the weigh head.
  loop.onEvents(() => {
    if (scale === null && loop.state.cycle.mode !== 'stopped') back();
  });
  return {
    health: () => scale?.health() ?? last,
    async asked(asked) {
      if (asked.ask === 'heard') return heard(asked.from);
      if (asked.ask === 'lend') return lend(asked.question);
      if (asked.ask !== 'back') return null;
      back();
      await running;
      return { refused: null };
    },
    back,
    async close() {
      [closed, ends] = [true, true];
      await running;
      await scale?.close();
    },
  };
}

/** What the fitting answers, and what the loan does. */
export function withLine(
  line: LineLoan | null,
  answer: (ask: FittingAsk) => Promise<FittingAnswer>,
): (ask: FittingAsk) => Promise<FittingAnswer> {
  return async (ask) => {
    const lent = (await line?.asked(ask)) ?? noLine(ask);
    return { ...(await answer(ask)), ...lent };
  };
}

function noLine({ ask }: FittingAsk): LineLent | null {
  return ask === 'lend' ? { refused: NO_PORT } : null;
}
