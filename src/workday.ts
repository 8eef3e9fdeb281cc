/**
 * The day's work around the race, on the main thread: which session is on and goes on after a restart,
 * what a person puts right in it, and what its animals are given. What is said goes to the records; what
 * it changes in the head per lot goes to the core.
 */
import type { Records, RecordsReady, SessionNow, SessionPlan } from './adapters/records/port.ts';
import type { OrderAnswer, SessionOrder, SessionShown, SessionWords } from './adapters/session.ts';
import type { RecordedTreatment } from './config/lists.ts';
import { dayNumber } from './core/sortplan/days.ts';
import type { Given } from './core/sortplan/dosing.ts';
import type { Event } from './core/trace.ts';
import type { Loop, LoopClock } from './loop.ts';
import { Medicine } from './medicine.ts';
import { corrections } from './put-right.ts';
import { WallClock } from './wall-clock.ts';
import { nextPen, NOBODY_SAID, withoutWeather, wordsOf } from './session-words.ts';

export interface WorkdayOptions {
  loop: Pick<Loop, 'state' | 'last' | 'command' | 'config' | 'whyNotReconfigure'>;
  records: Pick<
    Records,
    'session' | 'correction' | 'pen' | 'runAgain' | 'given' | 'mend' | 'onSession'
  >;
  ready: Pick<RecordsReady, 'last' | 'farms' | 'treatments'>;
  clock: LoopClock;
  /** `YYYY-MM-DDTHH:MM:SS` by the clock on the wall of the site. */
  localTime: (atMs: number) => string;
  /** The plan as the day book keeps it. */
  planNow: () => SessionPlan;
  newId: (wallMs: number) => string;
  /** Runs it when the step that is being followed has ended. */
  later: (act: () => void) => void;
  /** What is given or which mob it is has changed: withdrawal has to be looked up anew. */
  onMedicine: () => void;
}

export class Workday {
  readonly medicine: Medicine;
  readonly #options: WorkdayOptions;
  #id = '';
  /** The session has its row in the day book. */
  #begun = false;
  #choose = false;
  #words: SessionWords = NOBODY_SAID;
  #now: SessionNow | null = null;
  #day = '';
  /** First animal whose row was written since this start: the clock's error before it is not known. */
  #firstAnimal = 1;
  #offered: SessionWords[];
  readonly #wall: WallClock;
  /** Counts every change of what `shown` tells. */
  revision = 1;

  constructor(options: WorkdayOptions) {
    this.#options = options;
    const { last, farms, treatments } = options.ready;
    this.medicine = new Medicine(treatments);
    this.#offered = farms.map(wordsOf);
    this.#wall = new WallClock(options.clock, options.localTime);
    this.#day = this.#wall.today();
    // Where the clock was lost nobody can say which day it is: a person chooses.
    const mayBeToday = last?.day === this.#day || last?.clock === 'unset' || !this.#wall.set;
    if (last !== null && mayBeToday) this.#carryOn(last);
    else this.#another(withoutWeather(last?.info ?? NOBODY_SAID));
    options.records.onSession((now, put) => {
      this.#heard(now, put);
    });
  }

  /** To be told every step's events, after the step. */
  readonly follow = (events: readonly Event[]): void => {
    for (const event of events) {
      if (event.kind !== 'mode') continue;
      if (event.mode === 'homing' || event.mode === 'running') this.#begin();
      if (event.mode === 'stopped') this.#options.later(this.#options.onMedicine);
    }
    this.medicine.follow(this.#options.loop);
    if (!this.#wall.isDue()) return;
    this.#options.later(() => {
      this.#lookAtClock();
    });
  };

  /** What animals were given at the race, as far as it may concern this session's farm. */
  treatments(): RecordedTreatment[] {
    const today = this.#wall.set ? dayNumber(this.#wall.today()) : null;
    return this.medicine.treatments(this.#words, today);
  }

  get words(): Readonly<SessionWords> {
    return this.#words;
  }

  /** The session that rows belong to; null before its first start: it may never have one. */
  get begun(): string | null {
    return this.#begun ? this.#id : null;
  }

  /** A person's word from the page. */
  order(order: SessionOrder, who: string | null): OrderAnswer {
    const answer = this.#take(order, who);
    this.revision += 1;
    return answer;
  }

  /** What goes with every snapshot. */
  besides(): { doseMl: number | null; sessionRev: number; asks: ('carry-on' | 'again')[] } {
    const asks: ('carry-on' | 'again')[] = this.#choose ? ['carry-on'] : [];
    if ((this.#heardOf()?.again.length ?? 0) > 0) asks.push('again');
    return { doseMl: this.medicine.dose, sessionRev: this.revision, asks };
  }

  shown(): SessionShown {
    const now = this.#heardOf();
    return {
      ...{ head: now?.head ?? 0, perLot: now?.perLot ?? {}, penOf: now?.penOf ?? {} },
      ...{ pens: now?.pens ?? [], again: now?.again ?? [], recent: now?.recent ?? [] },
      id: this.#id,
      words: this.#words,
      begun: this.#begun && now !== null ? this.#wall.timeOf(now.startedMs) : null,
      choose: this.#choose,
      given: this.#shownGiven(),
      offered: this.#offered,
      clock: { set: this.#wall.set, local: this.#wall.local() },
    };
  }

  #shownGiven(): SessionShown['given'] {
    const { given } = this.medicine;
    if (given === null) return null;
    return this.#heardOf()?.given ?? { what: given, doses: 0, ml: 0, unknown: 0 };
  }

  #take(order: SessionOrder, who: string | null): OrderAnswer {
    const { records } = this.#options;
    const wall = this.#wall.now();
    const now = this.#heardOf();
    switch (order.do) {
      case 'describe':
        return this.#describe(order.words);
      case 'begin':
        return this.#beginAnother(order.words);
      case 'carry-on':
        this.#choose = false;
        return { ok: true };
      case 'new-pen':
        this.#begin();
        records.pen(this.#id, order.exit, nextPen(now?.penOf ?? {}, order.exit), wall);
        return { ok: true };
      case 'run-again':
        if (now === null) return NOT_YET;
        records.runAgain(this.#id, order.pen, who, wall);
        return { ok: true };
      case 'given':
        return this.#giveFromNow(order.given, who);
      case 'clock':
        if (!this.#wall.vouch(order.wallMs)) return NO_WORD;
        this.#lookAtClock();
        return { ok: true };
      default:
        return this.#putRight(order, who);
    }
  }

  #putRight(order: Extract<SessionOrder, { animal: number }>, who: string | null): OrderAnswer {
    const { animal, session = this.#id } = order;
    const past = session !== this.#id;
    const penOf = past ? null : this.#heardOf()?.penOf;
    if (penOf === undefined) return NOT_YET;
    const made = corrections(order, this.#options.loop.config.plan, penOf);
    if (typeof made === 'string') return { ok: false, reason: made };
    for (const said of made) {
      this.#options.records.correction({ session, animal, ...said, who, past }, this.#wall.now());
    }
    return { ok: true };
  }

  #describe(words: SessionWords): OrderAnswer {
    const { farm, mob } = this.#words;
    if (farm !== null && words.farm !== farm && (this.#heardOf()?.nextAnimal ?? 1) > 1) {
      const reason = `The animals of this session are ${farm}’s. Begin another session for another farm.`;
      return { ok: false, reason };
    }
    // Withdrawal goes by farm and mob, and is looked up anew only while nothing is under way.
    const moves = words.farm !== farm || words.mob !== mob;
    const against = moves ? this.#options.loop.whyNotReconfigure() : null;
    if (against !== null) return { ok: false, reason: against };
    this.#words = words;
    this.#choose = false;
    if (this.#begun) this.#write();
    if (moves) this.#options.onMedicine();
    return { ok: true };
  }

  #beginAnother(words: SessionWords): OrderAnswer {
    const against = this.#options.loop.whyNotReconfigure();
    if (against !== null) return { ok: false, reason: against };
    this.#another(words);
    this.#options.onMedicine();
    return { ok: true };
  }

  /** Only with nobody on the crate and nothing running: withdrawal counts from the first one on. */
  #giveFromNow(given: Given | null, who: string | null): OrderAnswer {
    const { loop, records } = this.#options;
    const against = loop.whyNotReconfigure();
    if (against !== null) return { ok: false, reason: against };
    if (given !== null && given.expiry !== '' && given.expiry < this.#wall.today()) {
      return { ok: false, reason: `${given.product}, batch ${given.batch}: out of date.` };
    }
    this.#begin();
    this.medicine.given = given;
    records.given(this.#id, given, who, this.#wall.now());
    this.#options.onMedicine();
    return { ok: true };
  }

  #carryOn(last: SessionNow): void {
    this.#id = last.info.id;
    this.#begun = true;
    this.#choose = true;
    this.#words = wordsOf(last.info);
    this.#now = last;
    this.#firstAnimal = last.nextAnimal;
    this.medicine.given = last.given?.what ?? null;
    const { nextAnimal, counts } = last;
    this.#options.loop.command({ do: 'session', session: this.#id, nextAnimal, counts });
  }

  #another(words: SessionWords): void {
    const { loop, newId } = this.#options;
    this.#id = newId(this.#wall.now().atMs);
    this.#begun = false;
    this.#choose = false;
    this.#words = words;
    this.#now = null;
    this.#firstAnimal = 1;
    this.medicine.given = null;
    this.#day = this.#wall.today();
    loop.command({ do: 'session', session: this.#id, nextAnimal: 1, counts: {} });
    this.revision += 1;
  }

  #begin(): void {
    if (this.#choose) this.revision += 1;
    this.#choose = false;
    if (this.#begun) return;
    this.#begun = true;
    this.#write();
  }

  #write(): void {
    const { records, planNow, loop } = this.#options;
    const { divisionKg } = loop.config.scale;
    const info = { id: this.#id, plan: planNow(), divisionKg, ...this.#words };
    records.session(info, this.#wall.now());
    const others = this.#offered.filter(({ farm }) => farm !== this.#words.farm);
    if (this.#words.farm !== null) this.#offered = [this.#words, ...others];
  }

  /** How this session stands by the records; null before they have said. */
  #heardOf(): SessionNow | null {
    return this.#now?.info.id === this.#id ? this.#now : null;
  }

  #heard(now: SessionNow, put: Record<string, number>): void {
    this.medicine.heard(now.info.id, now.treatments);
    this.revision += 1;
    if (now.info.id !== this.#id) return;
    this.#now = now;
    if (Object.keys(put).length === 0) return;
    const counts = { ...this.#options.loop.state.cycle.counts };
    for (const [lot, head] of Object.entries(put)) {
      counts[lot] = Math.max(0, (counts[lot] ?? 0) + head);
    }
    this.#options.loop.command({ do: 'session', counts });
  }

  /** A new day begins a session of its own; a clock that was set meanwhile puts its rows right. */
  #lookAtClock(): void {
    const { records, loop } = this.#options;
    const wrong = this.#wall.wasSet();
    if (wrong !== null) {
      const since = { animal: this.#firstAnimal, atMs: wrong.sinceMs };
      if (this.#begun) records.mend(this.#id, since, wrong.deltaMs, this.#wall.now());
      // One that was carried on although the day was not known: its own day is known after all.
      if (!this.#choose || this.#now?.clock === 'unset') this.#day = this.#wall.today();
      else if (this.#now !== null) this.#day = this.#now.day;
      this.revision += 1;
      this.#options.onMedicine();
    }
    const { mode, animal } = loop.state.cycle;
    if (mode !== 'stopped' || animal !== null || this.#wall.today() === this.#day) return;
    this.#another(withoutWeather(this.#words));
    this.#options.onMedicine();
  }
}

const NO_WORD: OrderAnswer = { ok: false, reason: 'This clock cannot be set.' };
const NOT_YET: OrderAnswer = { ok: false, reason: 'No animal of this session was let go yet.' };
