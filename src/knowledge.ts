/**
 * What the main thread knows of tags and of the plan in use, in memory: nothing is looked up on a
 * card while an animal stands on the crate.
 */
import { factsFrom, type SiteFacts } from './config/facts.ts';
import { mayHoldHere, mayHoldTagged } from './config/farms.ts';
import type { RecordedTreatment } from './config/lists.ts';
import type { CheckSaid, PlanInUse, SiteChange } from './config/site-change.ts';
import { dayNumber } from './core/sortplan/days.ts';
import { killDay, sessionPlan, tagFacts } from './core/sortplan/facts.ts';
import type { Plan } from './core/sortplan/plan.ts';
import type { OffLabel, Treatment } from './core/sortplan/withdrawal.ts';
import type { Event, KnownFacts } from './core/trace.ts';
import type { Loop } from './loop.ts';

/** What the session adds to the plan. */
export interface SessionFacts {
  farm: string | null;
  mob: string | null;
  /** What its animals were given at the race. */
  treatments: readonly RecordedTreatment[];
}

interface Weight {
  tag: string;
  /** Whose it was then: weights of one farm say nothing of another's. */
  farm: string | null;
  kg: number;
  /** `YYYY-MM-DD`, by the site's zone. */
  day: string;
}

export interface KnowledgeOptions {
  plan: Plan;
  /** See `planVersion`. */
  version: string;
  facts: SiteFacts;
  offLabel: OffLabel;
  /** IANA zone: the day that a moment belongs to. */
  zone: string;
  now: () => { atMs: number; clockSet: boolean };
  session: () => SessionFacts;
}

export interface Knowledge {
  /** What goes with a tag that was just read. */
  factsOf: (tag: string) => KnownFacts;
  /** The plan in use, with what the medicine record says of its mob today. */
  plan(): Plan;
  /** The plan in use as the records keep it. */
  kept(): { name: string; hash: string; resolved: Plan };
  take(use: PlanInUse): void;
  weighed(weights: readonly Weight[]): void;
  /** Weights of animals that are let go are known at their next coming, without a new start. */
  follow: (events: readonly Event[]) => void;
}

export function createKnowledge(options: KnowledgeOptions): Knowledge {
  const { offLabel, zone, now, session } = options;
  let { plan, version, facts } = options;
  const days = new Intl.DateTimeFormat('sv-SE', { timeZone: zone });
  const weights = new Map<string, Weight[]>();
  const today = (): string | null => {
    const { atMs, clockSet } = now();
    return clockSet ? days.format(atMs) : null;
  };
  const todayNumber = (): number | null => {
    const day = today();
    return day === null ? null : dayNumber(day);
  };
  const weighed = (given: readonly Weight[]): void => {
    for (const one of given) {
      const key = keyOf(one.tag, one.farm);
      const others = (weights.get(key) ?? []).filter(({ day }) => day !== one.day);
      const sorted = [one, ...others].sort((a, b) => (a.day < b.day ? 1 : -1));
      weights.set(key, sorted.slice(0, 2));
    }
  };
  /** Of the last weights the one of an earlier day: an animal may come twice on one. */
  const lastWeight = (tag: string): { kg: number; day: number } | null => {
    const on = today();
    const found = weights
      .get(keyOf(tag, session().farm))
      ?.find(({ day }) => on === null || day < on);
    const day = found === undefined ? null : dayNumber(found.day);
    return found === undefined || day === null ? null : { kg: found.kg, day };
  };
  const treatments = (mayHold: typeof mayHoldTagged): Treatment[] => {
    const { farm, treatments: atRace } = session();
    return [...facts.treatments, ...atRace].filter((one) => mayHold(one, farm));
  };
  const mobs = (): string[] => [plan.mob ?? null, session().mob].filter((one) => one !== null);
  return {
    factsOf: (tag) =>
      tagFacts(tag, {
        treatments: treatments(mayHoldTagged),
        offLabel,
        mobsOf: mobs,
        listOf: (one) => facts.listOf(one, session().farm),
        lastWeight,
        killDay: killDay(plan, todayNumber()),
        today: todayNumber(),
      }),
    plan: () => {
      const known = treatments(mayHoldHere);
      if (known.length === 0) return plan;
      return sessionPlan(plan, known, todayNumber(), offLabel, mobs());
    },
    kept: () => ({ name: plan.name, hash: version, resolved: plan }),
    take: (use) => {
      ({ plan, version } = use);
      facts = factsFrom(use.lists, use.treatments);
    },
    weighed,
    follow: (events) => {
      for (const event of events) {
        if (event.kind !== 'let-go') continue;
        const { tag, recordedKg: kg, unsure } = event.crossing;
        const day = today();
        if (tag !== null && kg !== null && !unsure && day !== null)
          weighed([{ tag, kg, day, farm: session().farm }]);
      }
    },
  };
}

const keyOf = (tag: string, farm: string | null): string => `${tag} ${farm ?? ''}`;

/** What a change of the site needs of the service. */
export interface Changing {
  loop: Pick<Loop, 'config' | 'reconfigure' | 'whyNotReconfigure'>;
  knowledge: Knowledge;
  writeFiles(files: SiteChange['files']): Promise<string | null>;
  /** Keeps them as weights of the session's farm, and gives them back as such. */
  keepWeights(
    weights: SiteChange['weights'],
  ): (SiteChange['weights'][number] & { farm: string | null })[];
  keepCheck(check: CheckSaid): void;
  /** The loop goes by another plan now: the records and the page are told. */
  changed(): void;
}

/**
 * Writes a person's change and takes it into use. What is in use changes only while stopped and
 * empty; nothing is written where that is not so.
 */
export async function changeSite(
  change: SiteChange,
  given: Changing,
): Promise<{ ok: boolean; reason?: string }> {
  const { loop, knowledge } = given;
  const { files, use, weights } = change;
  const against = use === null ? null : loop.whyNotReconfigure();
  if (against !== null) return { ok: false, reason: against };
  const failed = files.length === 0 ? null : await given.writeFiles(files);
  if (failed !== null) return { ok: false, reason: failed };
  if (weights.length > 0) {
    knowledge.weighed(given.keepWeights(weights));
  }
  if (change.check !== undefined) given.keepCheck(change.check);
  if (use === null) return { ok: true };
  const late = loop.whyNotReconfigure();
  if (late !== null) return { ok: false, reason: `It is saved, but not in use yet. ${late}` };
  knowledge.take(use);
  loop.reconfigure({ ...loop.config, plan: knowledge.plan() });
  given.changed();
  return { ok: true };
}

/**
 * What the medicine record says of the mob changes with the day, and with a clock that is set: taken
 * into use as soon as nothing is under way.
 */
export function refreshMedicine(given: Changing): void {
  const { loop, knowledge } = given;
  const plan = knowledge.plan();
  if (JSON.stringify(plan.medicine) === JSON.stringify(loop.config.plan.medicine)) return;
  if (loop.whyNotReconfigure() !== null) return;
  loop.reconfigure({ ...loop.config, plan });
  given.changed();
}
