import type { Plan } from '../core/sortplan/plan.ts';
import type { TagList } from './facts.ts';
import type { RecordedTreatment } from './lists.ts';

/** A sort plan as the service uses it, with the lists that it names and the treatment record. */
export interface PlanInUse {
  plan: Plan;
  /** See `planVersion`. */
  version: string;
  lists: TagList[];
  treatments: RecordedTreatment[];
}

/** What a person changes of a site while the service runs: checked, resolved, ready to be written. */
export interface SiteChange {
  /** Files by their path in the site folder, each with the whole of its new text. */
  files: { path: string; text: string }[];
  /** What the service uses from now on; null where nothing that is in use changes. */
  use: PlanInUse | null;
  /** Earlier weights from a list. */
  weights: { tag: string; day: string; kg: number }[];
  /** A check with a known mass, to be kept; left out where there was none. */
  check?: CheckSaid;
}

/** What a person read with a known mass on the crate, kg; corners empty where not done. */
export interface CheckSaid {
  massKg: number;
  middleKg: number;
  cornersKg: number[];
  who: string | null;
}
