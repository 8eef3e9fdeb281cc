/** The only place that wires adapters to the loop around the core. */
import { join } from 'node:path';
import { createLinkMeter, type LinkSources } from './adapters/page/links.ts';
import { startPage, type Page } from './adapters/page/port.ts';
import { createView } from './adapters/page/snapshot.ts';
import {
  newSessionId,
  startRecords,
  type LastWeight,
  type Records,
} from './adapters/records/port.ts';
import type { Board } from './adapters/relays/board.ts';
import type { Scale } from './adapters/scale/port.ts';
import { openSerialScale } from './adapters/scale/serial.ts';
import { openReader, type Reader } from './adapters/tags/reader.ts';
import type { SiteFacts } from './config/facts.ts';
import type { ResolvedSite } from './config/load.ts';
import type { Config } from './core/step.ts';
import { dayNumber } from './core/sortplan/days.ts';
import { killDay, sessionPlan, tagFacts } from './core/sortplan/facts.ts';
import type { KnownFacts } from './core/trace.ts';
import { Loop, type LoopClock } from './loop.ts';

export interface DaemonOptions {
  site: ResolvedSite;
  /** What the core is given, where it is not the site's. */
  config?: Config;
  version: string;
  clock: LoopClock;
  board: Board;
  /** Port of the weigh head instead of the site's. */
  scalePort?: string;
  /** The plan's tag lists and the treatment record. */
  facts: SiteFacts;
  /** Where the page is served; null: nowhere. */
  page: { host: string; port: number } | null;
  /** Words for people: notes of the adapters. */
  say: (text: string) => void;
  /** For tests: every commit of the records takes this much longer, ms. */
  slowRecordsMs?: number;
}

export interface Daemon {
  loop: Loop;
  records: Records;
  page: Page | null;
  close(): Promise<void>;
}

/**
 * Starts the adapters and gives the loop; whoever calls drives `loop.pump`.
 * @throws Error in words where the site folder is taken or the day book cannot be used.
 */
export async function startDaemon(options: DaemonOptions): Promise<Daemon> {
  const { site, clock, say } = options;
  const config = withMedicine(options.config ?? site.config, options);
  const session = newSessionId(clock.wallAt(clock.now()));
  const { version, board } = options;
  const loop = new Loop({ config, version, clock, board, session });
  const records = startRecords({
    siteDir: site.dir,
    zone: site.site.zone,
    version,
    header: loop.header(),
    state: loop.state,
    ...(options.slowRecordsMs === undefined ? {} : { slowMs: options.slowRecordsMs }),
  });
  records.onLink((up, reason) => {
    if (!up) say(reason);
    loop.arrive((t) => ({ t, link: 'records', up }));
  });
  records.onTraceCut((reason) => {
    say(reason);
    loop.endTrace();
  });
  const ready = await records.ready;
  loop.keep(records);
  const hash = site.hash;
  records.session(
    {
      id: session,
      plan: { name: config.plan.name, hash, resolved: config.plan },
      divisionKg: config.scale.divisionKg,
      farm: null,
      holding: null,
      flockMark: null,
      mob: null,
      field: null,
      hoursOffFeed: null,
      fleece: null,
      who: null,
    },
    { atMs: clock.wallAt(clock.now()), clockSet: clock.isSet() },
  );
  const scale = openWeighHead(options, loop);
  const reader = openTagReader(options, loop, lookUp(options, ready.lastWeights));
  const links: LinkSources = {};
  if (scale !== null) links.scale = () => scale.health();
  if (reader !== null) links.reader = () => reader.health();
  const page = await openPage(options, loop, links, records).catch(async (error: unknown) => {
    await Promise.all([scale?.close(), reader?.close(), records.close()]);
    throw error;
  });
  return {
    loop,
    records,
    page,
    close: async () => {
      await scale?.close();
      await reader?.close();
      await page?.close();
      await board.close();
      await records.close();
    },
  };
}

/** The page's thread is told what the loop shows, and its commands go to the loop. */
async function openPage(
  options: DaemonOptions,
  loop: Loop,
  links: LinkSources,
  records: Records,
): Promise<Page | null> {
  const { site, version, clock, page: where } = options;
  if (where === null) return null;
  const page = await startPage({
    siteDir: site.dir,
    dbFile: join(site.dir, 'fank.db'),
    ...where,
    version,
    openLooking: site.site.page.openLooking,
  });
  const view = createView(loop.config, site.boardProfile.type === 'simulated');
  page.describe(view.layout);
  page.onCommand((command) => Promise.resolve(loop.command(command)));
  page.onLink((up) => {
    loop.arrive((t) => ({ t, link: 'page', up }));
  });
  records.onSaved((_session, animal) => {
    view.saved(animal);
  });
  const meter = createLinkMeter(links);
  loop.onEvents((events, t) => {
    const figures = meter.read(clock.now());
    if (figures !== null) page.links(figures);
    view.follow(events, t);
    if (loop.last !== null && page.wants()) page.publish(view.snapshot(loop.last, t));
  });
  return page;
}

function openWeighHead(options: DaemonOptions, loop: Loop): Scale | null {
  const { site, clock, say } = options;
  const path = options.scalePort ?? site.ports.scale;
  if (path === null) {
    say('No port of a weigh head is set: sorting by hand only. Set scale.port in site.yaml.');
    return null;
  }
  return openSerialScale({
    path,
    profile: site.scaleProfile,
    now: () => clock.now(),
    onBytes: (_t, bytes) => {
      loop.bytes(bytes);
    },
    onReading: (reading) => {
      loop.arrive((t) => ({ ...reading, t }));
    },
    onLink: (up, reason) => {
      if (!up) say(reason);
      loop.arrive((t) => ({ t, link: 'scale', up }));
    },
    onNote: say,
  });
}

function openTagReader(
  options: DaemonOptions,
  loop: Loop,
  facts: (tag: string) => KnownFacts,
): Reader | null {
  const { site, clock, say } = options;
  const path = site.ports.reader;
  if (path === null || site.readerProfile === null) return null;
  return openReader({
    path,
    profile: site.readerProfile,
    now: () => clock.now(),
    onBytes: () => undefined,
    onTag: (_t, tag) => {
      loop.arrive((t) => ({ t, tag, known: facts(tag) }));
    },
    onLink: (up, reason) => {
      if (!up) say(reason);
      loop.arrive((t) => ({ t, link: 'reader', up }));
    },
    onNote: say,
  });
}

/** The plan of this session: with what the treatment record says of its mob today. */
function withMedicine(config: Config, { site, clock, facts }: DaemonOptions): Config {
  if (facts.treatments.length === 0) return config;
  const today = todayOf(site, clock);
  return { ...config, plan: sessionPlan(config.plan, facts.treatments, today, site.site.offLabel) };
}

/** What is known of a tag, looked up in memory before the core is told of it. */
function lookUp(options: DaemonOptions, lastWeights: LastWeight[]): (tag: string) => KnownFacts {
  const { site, clock, facts } = options;
  const last = new Map(lastWeights.map((one) => [one.tag, one]));
  const { mob } = site.config.plan;
  return (tag) => {
    const today = todayOf(site, clock);
    return tagFacts(tag, {
      treatments: facts.treatments,
      offLabel: site.site.offLabel,
      mobsOf: () => (mob === undefined ? [] : [mob]),
      listOf: facts.listOf,
      lastWeight: (one) => {
        const found = last.get(one);
        const day = found === undefined ? null : dayOf(site, found.atMs);
        return found === undefined || day === null ? null : { kg: found.kg, day };
      },
      killDay: killDay(site.config.plan, today),
      today,
    });
  };
}

/** Day number of a moment, by the site's zone. */
function dayOf(site: ResolvedSite, atMs: number): number | null {
  return dayNumber(new Intl.DateTimeFormat('sv-SE', { timeZone: site.site.zone }).format(atMs));
}

/** Today's day number; null while the clock is not set. */
function todayOf(site: ResolvedSite, clock: LoopClock): number | null {
  return clock.isSet() ? dayOf(site, clock.wallAt(clock.now())) : null;
}
