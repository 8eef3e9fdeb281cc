/** What `fank check` looks at, one line a check; what is not as it should be says what to do. */
import { accessSync, constants, existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { secretsPath } from '../adapters/page/secrets.ts';
import { portTrouble, portWarning } from '../adapters/port-names.ts';
import { checkWords, readChecks } from '../adapters/records/check-weights.ts';
import { holderOf } from '../adapters/records/lock.ts';
import { NoBook, openForReading } from '../adapters/records/reader.ts';
import { formatError } from '../config/errors.ts';
import { loadFacts } from '../config/facts.ts';
import { loadSite, type ResolvedSite } from '../config/load.ts';
import { CAUSES } from '../diagnosis/table.ts';
import { marksOf, readFitting } from '../fitting/file.ts';
import { dropOutProved, notFitted } from '../fitting/state.ts';
import { stepsOf } from '../fitting/steps.ts';
import { boardChecks } from './check-board.ts';
import { bad, good, unseen, type Check } from './check-line.ts';
import {
  bluetoothCheck,
  clockCheck,
  diskCheck,
  heatCheck,
  supplyCheck,
  versionCheck,
} from './check-machine.ts';
import { traceChecks } from './check-trace.ts';
import { emptyCrate } from './empty-crate.ts';

/** ISO 11784: codes of makers begin here; 999 is for tests. */
const FIRST_MAKER = '900';
const TEST_CODE = '999';
/** Runs every check of a site folder, one after the other. */
export async function* checks(folder: string): AsyncGenerator<Check> {
  const loaded = loadSite(folder);
  for (const warning of loaded.warnings) {
    yield bad('configuration', formatError(warning), warning.remedy);
  }
  const { check: service, holder } = serviceCheck(folder);
  yield service;
  if (loaded.ok) {
    yield good('configuration', `plan ${loaded.value.config.plan.name}, no fault`);
    yield* ofSite(loaded.value, holder);
  } else {
    for (const error of loaded.errors) yield bad('configuration', formatError(error), error.remedy);
  }
  yield clockCheck(loaded.ok ? loaded.value.site.zone : null);
  yield diskCheck(folder);
  yield bookCheck(folder);
  const weighed = massCheck(folder);
  if (weighed !== null) yield weighed;
  yield* lastTrace(folder);
  yield supplyCheck();
  yield heatCheck();
  yield pinCheck(folder);
  yield versionCheck();
}

/** Is Fank running on this folder? What it holds is left alone. */
function serviceCheck(folder: string): { check: Check; holder: string | null } {
  const name = 'service';
  try {
    const holder = holderOf(folder);
    const said = holder === null ? 'not running on this folder' : `running (${holder})`;
    return { check: good(name, said), holder };
  } catch (error) {
    const said = `cannot be seen by this user: ${(error as Error).message}`;
    return { check: unseen(name, said), holder: 'not known' };
  }
}

async function* ofSite(site: ResolvedSite, holder: string | null): AsyncGenerator<Check> {
  const facts = loadFacts(site.dir, site.config.plan, null);
  if (facts.ok) {
    yield good('lists', `${facts.value.treatments.length} treatment(s) on record`);
    if (facts.value.tags.size > 0) yield tagCheck(facts.value.tags);
  }
  if (!facts.ok)
    for (const error of facts.errors) yield bad('lists', formatError(error), error.remedy);
  yield* fittingChecks(site);
  const { bluetooth } = site.site.scale;
  yield site.ports.scale === null && bluetooth !== undefined
    ? bluetoothCheck(bluetooth.adapter, holder !== null)
    : await portCheck('weigh head', site.ports.scale);
  if (site.readerProfile !== null) yield await portCheck('tag reader', site.ports.reader);
  yield* boardChecks(site, holder);
  if (site.ports.scale === null || !existsSync(site.ports.scale)) return;
  if (holder === null) yield* await emptyCrate(site);
  else yield unseen('readings', 'the running service holds the port; see the last trace below');
}

/** Whether the keep-alive is proved, and the steps of the fitting that keep the race from starting. */
function fittingChecks(site: ResolvedSite): Check[] {
  const { state, trouble } = readFitting(site.dir);
  const steps = stepsOf(site.config, state.yard !== null);
  const marks = marksOf(site);
  const keepAlive =
    site.config.keepAliveProved || dropOutProved(steps, state, marks)
      ? good('keep-alive', 'proved to drop the actuators out, or nothing real moves')
      : bad('keep-alive', 'not proved', 'Do the drop-out step of the fitting, on the page.');
  if (site.boardProfile.type === 'simulated') return [keepAlive];
  const found = (): Check => {
    if (trouble !== null) return bad('fitting', trouble, 'Restore the file from a backup.');
    const open = notFitted(steps, state, marks);
    if (open.length === 0) return good('fitting', 'done and signed for these settings');
    return bad('fitting', `open: ${open.join(', ')}`, 'Do these steps on the page, under Fitting.');
  };
  return [keepAlive, found()];
}

/**
 * What the newest trace shows of the crate, the line, the gate and the battery. Faults that were raised
 * in it are told and are no fault of now: somebody pressed the stop, and should have.
 */
function lastTrace(folder: string): Check[] {
  try {
    const newest = newestTrace(join(folder, 'traces'));
    if (newest === null) return [unseen('trace', 'none yet: the first run leaves one')];
    return traceChecks(newest, null).map((one) =>
      one.ok === false && !(one.check in CAUSES) ? { ...one, ok: null } : one,
    );
  } catch (error) {
    return [
      bad('trace', (error as Error).message, 'Try the one before it: fank check --trace FILE'),
    ];
  }
}

function newestTrace(dir: string): string | null {
  if (!existsSync(dir)) return null;
  const files = readdirSync(dir)
    .filter((name) => TRACE.test(name))
    .map((name) => ({ path: join(dir, name), ms: statSync(join(dir, name)).mtimeMs }));
  return files.sort((a, b) => b.ms - a.ms)[0]?.path ?? null;
}

const TRACE = /[.]trace[.]ndjson([.]gz)?$/;

/** Whose codes the listed tags carry; code 999 is for tests, and no animal's. */
function tagCheck(tags: Set<string>): Check {
  const counts = new Map<string, number>();
  for (const tag of tags) {
    const code = tag.slice(0, 3);
    const whose = code === TEST_CODE ? 'test' : code >= FIRST_MAKER ? 'maker' : 'country';
    const key = `${whose} code ${code}`;
    counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  const said = [...counts].map(([key, count]) => `${key}: ${count}`).sort();
  const test = counts.has(`test code ${TEST_CODE}`);
  const remedy = 'Take the test tags out of the lists, except for practice.';
  return test ? bad('tags', said.join(', '), remedy) : good('tags', said.join(', '));
}

async function portCheck(check: string, path: string | null): Promise<Check> {
  if (path === null) return bad(check, 'no port is set', 'Set its port in site.yaml.');
  try {
    accessSync(path, constants.R_OK | constants.W_OK);
  } catch (error) {
    const trouble = await portTrouble(path, error instanceof Error ? error : new Error('unknown'));
    return bad(check, trouble, 'See that it is plugged in and that this user may use it.');
  }
  const warning = await portWarning(path);
  return warning === null ? good(check, path) : bad(check, warning, 'Change it in site.yaml.');
}

function bookCheck(folder: string): Check {
  try {
    const db = openForReading(folder);
    try {
      const answer = String(db.pragma('quick_check(1)', { simple: true }));
      if (answer === 'ok') return good('day book', 'sound');
      return bad('day book', answer, 'Keep a copy of the folder, then restore the last backup.');
    } finally {
      db.close();
    }
  } catch (error) {
    if (error instanceof NoBook)
      return unseen('day book', 'none yet: it begins with the first run');
    const why = error instanceof Error ? error.message : String(error);
    return bad('day book', why, 'Keep a copy of the folder, then restore the last backup.');
  }
}

/** The last check of the crate with a known mass; null where the day book cannot be read anyway. */
function massCheck(folder: string): Check | null {
  const name = 'check weight';
  try {
    const db = openForReading(folder);
    try {
      const [last] = readChecks(db, null, 1);
      if (last === undefined) return unseen(name, 'none yet: put a known mass on the crate');
      const said = `${last.day} ${last.time}: ${checkWords(last)}. Not for trade use`;
      const remedy = 'Clean the crate, look at the load bars, set zero and check again.';
      return last.found.within === false ? bad(name, said, remedy) : good(name, said);
    } finally {
      db.close();
    }
  } catch (error) {
    if (error instanceof NoBook) return null;
    throw error;
  }
}

function pinCheck(folder: string): Check {
  if (existsSync(secretsPath(folder))) return good('PINs', 'set');
  return bad('PINs', 'not set', 'Run `fank pin`, or they are made at the first start.');
}
