/** What the animals of a session are given as they pass, on the main thread. */
import type { RaceTreatment } from './adapters/records/port.ts';
import { mayHoldTagged } from './config/farms.ts';
import type { RecordedTreatment } from './config/lists.ts';
import { dayNumber } from './core/sortplan/days.ts';
import { doseMl, type Given } from './core/sortplan/dosing.ts';
import type { Crossing } from './core/trace.ts';
import type { Loop } from './loop.ts';

export class Medicine {
  /** What every animal is given from now on; null: nothing. */
  given: Given | null = null;
  /** The dose that is shown for the animal on the crate. */
  #dose: { animal: number; ml: number } | null = null;
  /** What was written at the race, by session. */
  readonly #race = new Map<string, RaceTreatment[]>();

  constructor(race: readonly RaceTreatment[]) {
    for (const one of race) {
      this.#race.set(one.session, [...(this.#race.get(one.session) ?? []), one]);
    }
  }

  /** All that the day book holds of a session by now. */
  heard(session: string, treatments: RaceTreatment[]): void {
    this.#race.set(session, treatments);
  }

  /** The dose to be shown now, ml; null while the weight is not sure. */
  get dose(): number | null {
    return this.#dose?.ml ?? null;
  }

  /** The dose to be written with this animal's row; null where none was shown, or nothing is given. */
  doseOf(crossing: Crossing): number | null {
    return this.#dose?.animal === crossing.animal ? this.#dose.ml : null;
  }

  /** Looks at the animal on the crate after a step. */
  follow(loop: Pick<Loop, 'state' | 'last'>): void {
    const { animal } = loop.state.cycle;
    if (animal === null || this.given === null) {
      this.#dose = null;
      return;
    }
    // Once it has been let go what was shown stands until its row is written.
    if (animal.opening !== null) return;
    const weighed = loop.last?.weighing;
    const sure = animal.basis !== null && !animal.doubtful && weighed?.fresh === true;
    const estimate = sure && weighed.zeroKnown ? weighed.estimate : null;
    const before = this.#dose?.animal === animal.number ? this.#dose.ml : null;
    const ml = estimate === null ? null : doseMl(this.given, estimate.kg, before);
    this.#dose = ml === null ? null : { animal: animal.number, ml };
  }

  /**
   * What may hold an animal of this session: what was given at the race, and what whoever comes on is
   * given now.
   * @param today day number, null where it is not known: then what is given now is unclear, and holds
   */
  treatments(
    { farm, mob }: { farm: string | null; mob: string | null },
    today: number | null,
  ): RecordedTreatment[] {
    const known = [...this.#race.values()].flat().flatMap((one) => {
      const { product, batch, use, tags, colour } = one;
      const givenDay = dayNumber(one.day);
      if (givenDay === null || !mayHoldTagged(one, farm)) return [];
      return [
        {
          product,
          batch,
          use,
          tags,
          colour,
          givenDay,
          days: one.days,
          mob: one.mob,
          farm: one.farm,
        },
      ];
    });
    if (this.given === null) return known;
    const { product, batch, use } = this.given;
    const days = today === null ? null : this.given.days;
    const whole = { tags: [], mob, colour: null, farm };
    const now = { product, batch, days, use, givenDay: today ?? 0, ...whole };
    return [...known, now];
  }
}
