/** The fitting beside the loop: the desk is shown every step, and what is open keeps the race from starting. */
import { FittingDesk } from './fitting/desk.ts';
import { bootId, FITTING_FILE, fittingText, marksOf, readFitting } from './fitting/file.ts';
import type { FittingAnswer, FittingAsk } from './fitting/view.ts';
import type { Seen } from './fitting/watch.ts';
import type { ResolvedSite } from './config/load.ts';
import type { Config } from './core/step.ts';
import type { Loop } from './loop.ts';

export interface CommissioningOptions {
  site: ResolvedSite;
  config: Config;
  /** Monotonic ms. */
  now: () => number;
  wall: () => { atMs: number; clockSet: boolean };
  say: (text: string) => void;
  /** Another name for this start of the machine than the system's own; for tests. */
  boot?: string;
}

export interface Commissioning {
  answer: (ask: FittingAsk) => Promise<FittingAnswer>;
  /** The configuration with what is open now. */
  fitted(config: Config): Config;
  /** From now on the desk sees what the loop does; `changed` is called after each new configuration. */
  follow(
    loop: Loop,
    write: (files: { path: string; text: string }[]) => Promise<string | null>,
    changed: () => void,
  ): void;
}

/** Reads the site's fitting. Nothing is needed where nothing real moves. */
export function openCommissioning(options: CommissioningOptions): Commissioning {
  const { site, config, say } = options;
  const { state, trouble } = readFitting(site.dir);
  if (trouble !== null) say(trouble);
  let write: (text: string) => Promise<string | null> = () => Promise.resolve('Fank is starting.');
  let changed = (): void => undefined;
  const desk = new FittingDesk({
    yard: config,
    profiles: site.site.profiles,
    marks: marksOf(site),
    state,
    needed: site.boardProfile.type !== 'simulated',
    now: options.now,
    wall: options.wall,
    boot: options.boot ?? bootId(),
    write: (next) => write(fittingText(next)),
    changed: () => {
      changed();
    },
  });
  const fitted = (given: Config): Config => {
    const open = desk.notFitted();
    const keepAliveProved = given.keepAliveProved || desk.dropOutProved();
    const next: Config = { ...given, keepAliveProved };
    if (open.length > 0) return { ...next, notFitted: open };
    delete next.notFitted;
    return next;
  };
  return {
    answer: async (ask) => {
      const refused = ask.ask === 'say' ? await desk.said(ask.said) : null;
      return { refused, view: ask.ask === 'live' ? null : desk.view(), live: desk.live() };
    },
    fitted,
    follow(loop, writeFiles, tell) {
      write = (text) => writeFiles([{ path: FITTING_FILE, text }]);
      const differs = (next: Config): boolean =>
        next.keepAliveProved !== loop.config.keepAliveProved ||
        JSON.stringify(next.notFitted) !== JSON.stringify(loop.config.notFitted);
      // In the middle of work nothing changes: it is taken when the race is stopped and empty.
      let waits = false;
      changed = () => {
        waits = loop.whyNotReconfigure() !== null;
        const next = fitted(loop.config);
        if (waits || !differs(next)) return;
        loop.reconfigure(next);
        tell();
      };
      const seen = seenOf(loop, options.now);
      loop.onEvents(() => {
        desk.see(seen(), loop.state.cycle.mode);
        if (waits && loop.whyNotReconfigure() === null) changed();
      });
    },
  };
}

/** What the loop's last step showed. */
function seenOf(loop: Loop, now: () => number): () => Seen {
  let readAt: number | null = null;
  return () => {
    const { state, last } = loop;
    const nowMs = now();
    const { hold } = state.interlock;
    const reading = last?.weighing.reading ?? null;
    const fresh = reading !== null && reading.at !== readAt;
    readAt = reading?.at ?? null;
    return {
      nowMs,
      renewedMs: hold === null ? null : nowMs - (loop.t() - hold.renewedAt),
      inputs: state.contacts.inputs,
      outputs: last?.outputs ?? {},
      volts: state.interlock.supply.volts,
      ...(fresh ? { kg: reading.kg } : {}),
    };
  };
}
