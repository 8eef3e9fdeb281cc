/** What `fank check` looks at, one line a check; what is not as it should be says what to do. */
import { accessSync, constants, existsSync, readFileSync, statfsSync } from 'node:fs';
import { startClock } from '../adapters/clock/clock.ts';
import { secretsPath } from '../adapters/page/secrets.ts';
import { portTrouble, portWarning } from '../adapters/port-names.ts';
import { checkWords, readChecks } from '../adapters/records/check-weights.ts';
import { NoBook, openForReading } from '../adapters/records/reader.ts';
import { formatError } from '../config/errors.ts';
import { loadFacts } from '../config/facts.ts';
import { loadSite, type ResolvedSite } from '../config/load.ts';
import { emptyCrate } from './empty-crate.ts';

export interface Check {
  check: string;
  /** null: cannot be seen on this machine. */
  ok: boolean | null;
  said: string;
  /** What to do; empty where nothing is to be done. */
  remedy: string;
}

/** ISO 11784: codes of makers begin here; 999 is for tests. */
const FIRST_MAKER = '900';
const TEST_CODE = '999';
/** Free space under which the card is called full, bytes. */
const LEAST_FREE = 500e6;

const good = (check: string, said: string): Check => ({ check, ok: true, said, remedy: '' });
const bad = (check: string, said: string, remedy: string): Check => ({
  check,
  ok: false,
  said,
  remedy,
});
const unseen = (check: string, said: string): Check => ({ check, ok: null, said, remedy: '' });

/** Runs every check of a site folder, one after the other. */
export async function* checks(folder: string): AsyncGenerator<Check> {
  const loaded = loadSite(folder);
  for (const warning of loaded.warnings) {
    yield bad('configuration', formatError(warning), warning.remedy);
  }
  if (loaded.ok) {
    yield good('configuration', `plan ${loaded.value.config.plan.name}, no fault`);
    yield* ofSite(loaded.value);
  } else {
    for (const error of loaded.errors) yield bad('configuration', formatError(error), error.remedy);
  }
  yield clockCheck();
  yield diskCheck(folder);
  yield bookCheck(folder);
  const weighed = massCheck(folder);
  if (weighed !== null) yield weighed;
  yield supplyCheck();
  yield pinCheck(folder);
  yield nodeCheck();
}

async function* ofSite(site: ResolvedSite): AsyncGenerator<Check> {
  const facts = loadFacts(site.dir, site.config.plan, null);
  if (facts.ok) {
    yield good('lists', `${facts.value.treatments.length} treatment(s) on record`);
    if (facts.value.tags.size > 0) yield tagCheck(facts.value.tags);
  }
  if (!facts.ok)
    for (const error of facts.errors) yield bad('lists', formatError(error), error.remedy);
  yield site.config.keepAliveProved
    ? good('keep-alive', 'proved to drop the actuators out, or nothing real moves')
    : bad('keep-alive', 'not proved', 'Do the drop-out step of the fitting, then set its day.');
  yield site.ports.scale === null && site.site.scale.bluetooth !== undefined
    ? unseen('weigh head', 'over Bluetooth: the service itself says whether it is heard')
    : await portCheck('weigh head', site.ports.scale);
  if (site.readerProfile !== null) yield await portCheck('tag reader', site.ports.reader);
  if (site.ports.scale !== null && existsSync(site.ports.scale)) yield await emptyCrate(site);
}

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

function clockCheck(): Check {
  const clock = startClock();
  const now = new Date(clock.wallNow()).toISOString();
  if (clock.isSet()) return good('clock', now);
  return bad(
    'clock',
    `${now}, and nothing vouches for it`,
    'Set the clock, or fit a clock module.',
  );
}

function diskCheck(folder: string): Check {
  const { bavail, bsize } = statfsSync(existsSync(folder) ? folder : '.');
  const free = bavail * bsize;
  const said = `${Math.round(free / 1e6)} MB free`;
  return free >= LEAST_FREE ? good('disk', said) : bad('disk', said, 'Free space on the card.');
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

/** A Raspberry Pi's own word on its supply: bits 0 and 16 of the firmware's throttling state. */
function supplyCheck(): Check {
  const file = '/sys/devices/platform/soc/soc:firmware/get_throttled';
  if (!existsSync(file)) return unseen('supply', 'this machine does not say');
  const bits = Number.parseInt(readFileSync(file, 'utf8'), 16);
  if ((bits & 0x1) !== 0) return bad('supply', 'too low now', 'Look at the supply and its cable.');
  if ((bits & 0x10000) === 0) return good('supply', 'never too low since power-up');
  return bad('supply', 'was too low since power-up', 'Look at the supply and its cable.');
}

function pinCheck(folder: string): Check {
  if (existsSync(secretsPath(folder))) return good('PINs', 'set');
  return bad('PINs', 'not set', 'Run `fank pin`, or they are made at the first start.');
}

function nodeCheck(): Check {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
  const fits = major > 20 || (major === 20 && minor >= 19);
  return fits
    ? good('Node', process.version)
    : bad('Node', process.version, 'Install Node 20.19 or later.');
}
