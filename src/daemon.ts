/** The only place that wires adapters to the loop around the core. */
import { createLinkMeter, type LinkSources } from './adapters/page/links.ts';
import { startPage, type Page } from './adapters/page/port.ts';
import { createView } from './adapters/page/snapshot.ts';
import { daysOf } from './adapters/records/day.ts';
import { BOOK_MODULE, newSessionId, startRecords, type Records } from './adapters/records/port.ts';
import type { Board } from './adapters/relays/board.ts';
import { listenOn } from './adapters/scan/listen.ts';
import { openBluetoothScale } from './adapters/scale/bluetooth.ts';
import type { ScaleEvents } from './adapters/scale/port.ts';
import { openSerialScale } from './adapters/scale/serial.ts';
import { openReader, type Reader } from './adapters/tags/reader.ts';
import { openCommissioning, type Commissioning } from './commissioning.ts';
import type { SiteFacts } from './config/facts.ts';
import type { ResolvedSite } from './config/load.ts';
import { planVersion } from './config/plan.ts';
import type { Config } from './core/step.ts';
import type { KnownFacts } from './core/trace.ts';
import {
  changeSite,
  createKnowledge,
  refreshMedicine,
  type Changing,
  type Knowledge,
  type KnowledgeOptions,
} from './knowledge.ts';
import { openLoan, SEARCH_MODULE, withLine, type LineLoan } from './line-loan.ts';
import { Loop, type LoopClock } from './loop.ts';
import { framesOf } from './trace-header.ts';
import type { Workday } from './workday.ts';
import { keepBy, openWorkday, sessionFacts } from './workday-open.ts';

/** How often it is looked whether the day has changed what the treatment record says, ms. */
const MEDICINE_EVERY_MS = 30_000;

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
  page: { host: string; port: number; webDir?: string } | null;
  /** Words for people: notes of the adapters. */
  say: (text: string) => void;
  /** For tests: another name for this start of the machine. */
  boot?: string;
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
  const { site, clock } = options;
  const wall = () => ({ atMs: clock.wallAt(clock.now()), clockSet: clock.isSet() });
  let day: Workday | null = null;
  const knowledge = knowledgeOf(options, wall, () => sessionFacts(day));
  const given = { ...(options.config ?? site.config), plan: knowledge.plan() };
  const { boot, say } = options;
  const fitting = openCommissioning({
    ...{ site, config: given, wall, say, now: () => clock.now() },
    ...(boot === undefined ? {} : { boot }),
  });
  const config = fitting.fitted(given);
  const session = newSessionId(clock.wallAt(clock.now()));
  const { version, board } = options;
  const frames = framesOf(site);
  const loop = new Loop({ config, version, clock, board, session, frames });
  const records = openRecords(options, loop);
  const ready = await records.ready;
  loop.keep(keepBy(records, () => day));
  const changes = openChanges(loop, records, knowledge, { now: wall, session: () => day });
  const { localTime } = daysOf(site.site.zone);
  const workday = openWorkday({
    ...{ loop, clock, records, knowledge, ready, changes, localTime, newId: newSessionId },
  });
  day = workday;
  refreshMedicine(changes);
  const line = openWeighHead(options, loop);
  knowledge.weighed(ready.lastWeights);
  loop.onEvents(knowledge.follow);
  const reader = openTagReader(options, loop, knowledge.factsOf);
  const links: LinkSources = {};
  if (line !== null) links.scale = () => line.health();
  if (reader !== null) links.reader = () => reader.health();
  fitting.follow(loop, records.files, () => changes.tell());
  const page = await openPage(options, {
    ...{ loop, links, records, changes, day: workday, fitting, line },
  }).catch(async (error: unknown) => {
    await Promise.all([line?.close(), reader?.close(), records.close()]);
    throw error;
  });
  const daily = setInterval(refreshMedicine, MEDICINE_EVERY_MS, changes).unref();
  return {
    loop,
    records,
    page,
    close: async () => {
      clearInterval(daily);
      // First what can hurt: the others may take seconds.
      loop.end();
      await board.close();
      await Promise.all([line?.close(), reader?.close()]);
      await page?.close();
      await records.close();
    },
  };
}

/** The records' thread; its trouble is an input, and said. */
function openRecords(options: DaemonOptions, loop: Loop): Records {
  const { site, version, say } = options;
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
  return records;
}

/** The page's thread is told what the loop shows, and its commands go to the loop. */
async function openPage(
  options: DaemonOptions,
  given: {
    loop: Loop;
    links: LinkSources;
    records: Records;
    changes: Changes;
    day: Workday;
    fitting: Commissioning;
    line: LineLoan | null;
  },
): Promise<Page | null> {
  const { loop, links, records, changes, day, fitting, line } = given;
  const { site, version, clock, page: where } = options;
  if (where === null) return null;
  const page = await startPage({
    siteDir: site.dir,
    bookModule: BOOK_MODULE,
    searchModule: SEARCH_MODULE,
    ...where,
    version,
    openLooking: site.site.page.openLooking,
    zone: site.site.zone,
  });
  const simulated = site.boardProfile.type === 'simulated';
  const view = createView(loop.config, simulated, site.site.exitWords);
  page.describe(view.layout);
  page.onCommand((command) => Promise.resolve(loop.command(command)));
  page.onChange((change) => changeSite(change, changes));
  page.onFitting(withLine(line, fitting.answer));
  page.onOrder((order, { role, device }) =>
    Promise.resolve(day.order(order, device === null ? role : `phone ${String(device)}`)),
  );
  changes.tell = () => {
    view.reconfigure(loop.config);
    page.describe(view.layout);
  };
  page.onLink((up) => {
    if (!up) line?.back();
    loop.arrive((t) => ({ t, link: 'page', up }));
  });
  records.onSaved((_session, animal) => {
    view.saved(animal);
  });
  const meter = createLinkMeter(links);
  let told = 0;
  loop.onEvents((events, t) => {
    const figures = meter.read(clock.now());
    if (figures !== null) page.links(figures);
    view.follow(events, t);
    if (told !== day.revision) page.session(day.shown());
    told = day.revision;
    if (loop.last === null || !page.wants()) return;
    page.publish(view.snapshot(loop.last, t, day.besides()));
  });
  return page;
}

function openWeighHead(options: DaemonOptions, loop: Loop): LineLoan | null {
  const { site, clock, say, scalePort: path = site.ports.scale } = options;
  const { bluetooth } = site.site.scale;
  const events: ScaleEvents = {
    now: () => clock.now(),
    onBytes: (_t, bytes) => loop.bytes(bytes),
    onReading: (reading) => {
      loop.arrive((t) => ({ ...reading, t }));
    },
    onLink: (up, reason) => {
      if (!up) say(reason);
      loop.arrive((t) => ({ t, link: 'scale', up }));
    },
    onNote: say,
  };
  const profile = site.scaleProfile;
  const open =
    path === null
      ? bluetooth && (() => openBluetoothScale({ ...events, bluetooth, profile }))
      : () => openSerialScale({ ...events, path, profile });
  if (open !== undefined) return openLoan({ loop, path, open, listen: listenOn, now: events.now });
  say('No port of a weigh head is set: sorting by hand only. Set scale.port in site.yaml.');
  return null;
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

function knowledgeOf(
  { site, config, facts }: DaemonOptions,
  now: KnowledgeOptions['now'],
  session: KnowledgeOptions['session'],
): Knowledge {
  const { plan } = config ?? site.config;
  const { zone, offLabel } = site.site;
  const version = planVersion(plan);
  return createKnowledge({ plan, version, facts, offLabel, zone, now, session });
}

type Changes = Changing & {
  /** The page is told; nothing while there is none. */
  tell: () => void;
};

/** Changes that a person makes from the page, and those that the day makes. */
function openChanges(
  loop: Loop,
  records: Records,
  knowledge: Knowledge,
  { session, now }: { session: () => Workday | null; now: KnowledgeOptions['now'] },
): Changes {
  const changes: Changes = {
    tell: () => undefined,
    loop,
    knowledge,
    writeFiles: records.files,
    keepWeights: (weights) => {
      const { farm } = sessionFacts(session());
      const theirs = weights.map((one) => ({ ...one, farm }));
      records.earlierWeights(theirs, now());
      return theirs;
    },
    keepCheck: (check) => {
      const { maxKg, divisionKg } = loop.config.scale;
      records.checkWeight({ ...check, maxKg, divisionKg }, now());
    },
    changed: () => {
      const begun = session()?.begun ?? null;
      if (begun !== null) records.plan(begun, knowledge.kept(), now());
      changes.tell();
    },
  };
  return changes;
}
