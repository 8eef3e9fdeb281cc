import { describe, expect, test } from 'vitest';
import { fakeClock } from '../src/adapters/clock/clock.ts';
import type { MendSince } from '../src/adapters/records/messages.ts';
import type { Correction, SessionInfo, SessionNow } from '../src/adapters/records/port.ts';
import type { SessionWords } from '../src/adapters/session.ts';
import type { Given } from '../src/core/sortplan/dosing.ts';
import { initial, step, type Config, type Stepped } from '../src/core/step.ts';
import type { Command, Event, Input } from '../src/core/trace.ts';
import { defaultConfig } from '../src/config/defaults.ts';
import { NOBODY_SAID } from '../src/session-words.ts';
import { Workday } from '../src/workday.ts';

const MORNING = Date.UTC(2026, 8, 14, 8);
const UPPER: SessionWords = {
  ...{ farm: 'Upper', holding: 'H1', flockMark: 'UK0', mob: 'Gimmers', field: 'Brae' },
  ...{ hoursOffFeed: 12, fleece: 'wet', who: 'A' },
};
const DRENCH: Given = {
  ...{ product: 'Drench A', batch: 'B7', expiry: '2027-01-31', mlPerKg: 0.2, stepMl: 0.5 },
  ...{ days: 14, use: 'label' },
};

function sessionNow(change: Partial<SessionNow> = {}): SessionNow {
  return {
    ...{ info: { id: 'early', plan: null, divisionKg: 0.1, ...UPPER }, startedMs: MORNING },
    ...{ day: '2026-09-14', clock: 'set', nextAnimal: 8, head: 7, perLot: { Fit: 7 } },
    ...{ counts: { Fit: 3 }, penOf: { ahead: 'ahead 2' }, pens: [], again: [], recent: [] },
    ...{ given: null, treatments: [] },
    ...change,
  };
}

interface Bench {
  day: Workday;
  clock: ReturnType<typeof fakeClock>;
  state: () => Stepped['state'];
  give(input: Input): void;
  sessions: SessionInfo[];
  said: Correction[];
  pens: string[];
  mended: { since: MendSince; deltaMs: number }[];
  medicine: number;
  tell(now: SessionNow, put?: Record<string, number>): void;
}

/** The workday around the real core, with records that only listen. */
function bench(last: SessionNow | null = null, clock = fakeClock(MORNING)): Bench {
  const config: Config = defaultConfig({
    scale: { divisionKg: 0.1, rateHz: 10 },
    inputs: ['frontShut', 'stopLoop'],
  });
  let state = initial(config);
  let stepped: Stepped | null = null;
  let onSession: (now: SessionNow, put: Record<string, number>) => void = () => undefined;
  const give = (input: Input): Event[] => {
    stepped = step(config, state, input);
    state = stepped.state;
    return stepped.events;
  };
  const b: Bench = {
    ...{ sessions: [], said: [], pens: [], mended: [], medicine: 0, clock },
    state: () => state,
    give: (input) => {
      b.day.follow(give(input));
    },
    tell: (now, put = {}) => {
      onSession(now, put);
    },
    day: null as unknown as Workday,
  };
  const loop = {
    config,
    get state() {
      return state;
    },
    get last() {
      return stepped;
    },
    whyNotReconfigure: () =>
      state.cycle.mode === 'stopped' && state.cycle.animal === null ? null : 'Stop first',
    command: (command: Command) => {
      const refused = give({ t: clock.now(), command }).find((e) => e.kind === 'refused');
      return refused === undefined ? { ok: true } : { ok: false, reason: refused.reason };
    },
  };
  let ids = 0;
  b.day = new Workday({
    loop,
    clock,
    records: {
      session: (info) => b.sessions.push(info),
      correction: (correction) => b.said.push(correction),
      pen: (_session, _exit, pen) => b.pens.push(pen),
      runAgain: () => undefined,
      given: () => undefined,
      mend: (_session, since, deltaMs) => b.mended.push({ since, deltaMs }),
      onSession: (callback) => {
        onSession = callback;
      },
    },
    ready: { last, farms: last === null ? [] : [last.info], treatments: last?.treatments ?? [] },
    localTime: (atMs) => new Date(atMs).toISOString().slice(0, 19),
    planNow: () => ({ name: 'P', hash: 'h', resolved: {} }),
    newId: () => `new ${String((ids += 1))}`,
    later: (act) => {
      act();
    },
    onMedicine: () => {
      b.medicine += 1;
    },
  });
  return b;
}

function started(b: Bench): Bench {
  b.give({ t: 0, input: 'frontShut', on: true });
  b.give({ t: 0, input: 'stopLoop', on: true });
  b.give({ t: 0, command: { do: 'start' } });
  return b;
}

test('an animal of a session of today that is over is put right by its name', () => {
  const b = bench(sessionNow());
  const of = { animal: 3, session: 'morning' };
  expect(b.day.order({ do: 'went', ...of, lot: 'Shearlings' }, 'phone 1')).toEqual({ ok: true });
  expect(b.day.order({ do: 'pulled-out', ...of }, null)).toEqual({ ok: true });
  expect(b.day.order({ do: 'pulled-out', animal: 3, session: 'early' }, null).ok).toBe(true);
  expect(b.said).toMatchObject([
    // Which exit its lot had is for the day book to say.
    { session: 'morning', animal: 3, kind: 'lot', value: 'Shearlings', past: true },
    { session: 'morning', animal: 3, kind: 'void', value: true, past: true },
    { session: 'early', animal: 3, kind: 'void', value: true, past: false },
  ]);
});

describe('a session of today', () => {
  test('is carried on: its number, counts, pens and words; the page asks first', () => {
    const b = bench(sessionNow());
    expect(b.state().cycle).toMatchObject({ session: 'early', nextAnimal: 8, counts: { Fit: 3 } });
    expect(b.state().cycle.mode).toBe('stopped');
    expect(b.day.shown()).toMatchObject({ id: 'early', choose: true, head: 7, words: UPPER });
    expect(b.day.shown().begun).toBe('08:00');
    started(b);
    expect(b.day.shown().choose).toBe(false);
    expect(b.sessions).toEqual([]); // it has its row already
  });

  test('or another is begun, with what the person says, written when it starts', () => {
    const b = bench(sessionNow());
    const words = { ...NOBODY_SAID, farm: 'Lower' };
    expect(b.day.order({ do: 'begin', words }, 'phone 1')).toEqual({ ok: true });
    expect(b.state().cycle).toMatchObject({ session: 'new 1', nextAnimal: 1, counts: {} });
    expect(b.sessions).toEqual([]);
    started(b);
    expect(b.sessions).toMatchObject([{ id: 'new 1', farm: 'Lower', field: null }]);
    expect(b.day.order({ do: 'begin', words }, null).ok).toBe(false);
  });
});

describe('a session of another day', () => {
  const yesterday = (): SessionNow => sessionNow({ day: '2026-09-13' });

  test('is over: a wired start takes what was said last, but no weather of another day', () => {
    const b = started(bench(yesterday()));
    expect(b.sessions).toMatchObject([
      { id: 'new 1', farm: 'Upper', field: 'Brae', hoursOffFeed: null, fleece: null },
    ]);
  });

  test('also where Fank ran through the night, once it is stopped', () => {
    const b = started(bench(sessionNow()));
    b.clock.advance(24 * 3_600_000);
    b.give({ t: b.clock.now(), tick: true });
    expect(b.state().cycle.session).toBe('early');
    b.give({ t: b.clock.now(), command: { do: 'stop' } });
    b.clock.advance(1000);
    b.give({ t: b.clock.now(), tick: true });
    expect(b.state().cycle).toMatchObject({ session: 'new 1', nextAnimal: 1, counts: {} });
  });
});

describe('with a clock that nobody set', () => {
  const lost = () => fakeClock(Date.UTC(2026, 0, 1), false);

  test('the session before is taken up, and a person is asked', () => {
    const b = bench(sessionNow(), lost());
    expect(b.state().cycle).toMatchObject({ session: 'early', nextAnimal: 8, counts: { Fit: 3 } });
    expect(b.day.shown().choose).toBe(true);
  });

  test('it is left again where the clock tells another day before anybody chose', () => {
    const b = bench(sessionNow(), lost());
    b.clock.advance(5000);
    b.clock.setWall(MORNING + 24 * 3_600_000, true);
    b.give({ t: b.clock.now(), tick: true });
    expect(b.state().cycle).toMatchObject({ session: 'new 1', nextAnimal: 1 });
  });

  test('only what was written since then is put right: the error before is not known', () => {
    const b = started(bench(sessionNow({ clock: 'unset' }), lost()));
    b.clock.setWall(MORNING, true);
    b.clock.advance(5000);
    b.give({ t: b.clock.now(), tick: true });
    expect(b.mended.map(({ since }) => since.animal)).toEqual([8]);
    expect(b.state().cycle.session).toBe('early');
  });

  test('what is given now holds by an unclear day', () => {
    const b = bench(null, lost());
    b.day.order({ do: 'given', given: DRENCH }, null);
    expect(b.day.treatments()).toMatchObject([{ days: null, tags: [] }]);
  });
});

describe('what a person says', () => {
  test('of a session with animals never moves them to another farm', () => {
    const b = bench(sessionNow());
    const answer = b.day.order({ do: 'describe', words: { ...UPPER, farm: 'Lower' } }, null);
    expect(answer.reason).toContain('Upper');
    expect(b.day.order({ do: 'describe', words: { ...UPPER, field: 'Park' } }, null).ok).toBe(true);
    expect(b.sessions).toMatchObject([{ id: 'early', farm: 'Upper', field: 'Park' }]);
  });

  test('of an animal is kept as corrections, to the pen that is open now', () => {
    const b = bench(sessionNow());
    b.day.order({ do: 'went', animal: 5, lot: 'Fit' }, 'phone 1');
    expect(b.said.map(({ animal, kind, value, who }) => [animal, kind, value, who])).toEqual([
      [5, 'lot', 'Fit', 'phone 1'],
      [5, 'exit', 'ahead', 'phone 1'],
      [5, 'pen', 'ahead 2', 'phone 1'],
    ]);
    expect(b.day.order({ do: 'went', animal: 5, lot: 'None' }, null).reason).toContain('None');
  });

  test('changes the head per lot by as much as it means, whoever was let go meanwhile', () => {
    const b = bench(sessionNow());
    b.tell(sessionNow(), { Fit: -1, Stores: 1 });
    expect(b.state().cycle.counts).toEqual({ Fit: 2, Stores: 1 });
    b.tell(sessionNow(), { Fit: -9 });
    expect(b.state().cycle.counts).toEqual({ Fit: 0, Stores: 1 });
  });

  test('a third pen follows the second', () => {
    const b = bench(sessionNow());
    b.day.order({ do: 'new-pen', exit: 'ahead' }, null);
    b.day.order({ do: 'new-pen', exit: 'left' }, null);
    expect(b.pens).toEqual(['ahead 3', 'left 2']);
  });
});

describe('given today', () => {
  test('what a session of this morning gave goes on holding in the next one', () => {
    const b = bench(sessionNow());
    const one = { product: 'x', batch: '', days: 7, use: 'label' as const, colour: null };
    const tags = ['999000000001337'];
    const where = { day: '2026-09-14', session: 'early', farm: 'Upper', mob: 'Gimmers', tags };
    b.tell(sessionNow({ treatments: [{ ...one, ...where }] }));
    b.day.order({ do: 'begin', words: NOBODY_SAID }, null);
    expect(b.day.treatments()).toMatchObject([{ tags: ['999000000001337'], days: 7 }]);
  });

  test('holds whoever comes on, from before the first one; not set in the middle of work', () => {
    const b = bench(sessionNow());
    expect(b.day.treatments()).toEqual([]);
    expect(b.day.order({ do: 'given', given: DRENCH }, null)).toEqual({ ok: true });
    expect(b.medicine).toBe(1);
    expect(b.day.treatments()).toMatchObject([{ days: 14, tags: [], mob: 'Gimmers' }]);
    started(b);
    expect(b.day.order({ do: 'given', given: null }, null).ok).toBe(false);
  });

  test('an expired batch is refused', () => {
    const given = { ...DRENCH, expiry: '2026-09-13' };
    const answer = bench(sessionNow()).day.order({ do: 'given', given }, null);
    expect(answer.reason).toContain('out of date');
  });

  test('what another farm gave to a mob of the same name holds nobody here; a tag does', () => {
    const treatment = {
      ...{ product: 'x', batch: '', days: 7, use: 'label' as const, colour: null },
      ...{ day: '2026-09-13', session: 'early', mob: 'Gimmers' },
    };
    const b = bench(
      sessionNow({
        treatments: [
          { ...treatment, farm: 'Lower', tags: [] },
          { ...treatment, farm: 'Lower', tags: ['999000000001337'] },
          { ...treatment, farm: 'Upper', tags: [] },
        ],
      }),
    );
    expect(b.day.treatments().map(({ tags, mob }) => [tags, mob])).toEqual([
      [['999000000001337'], 'Gimmers'],
      [[], 'Gimmers'],
    ]);
  });
});

describe('the clock', () => {
  test('set by a person: rows written before are put right by the difference', () => {
    const b = started(bench(null, fakeClock(Date.UTC(2026, 0, 1), false)));
    b.clock.advance(5000);
    expect(b.day.shown().clock.set).toBe(false);
    b.day.order({ do: 'clock', wallMs: MORNING }, null);
    const since = { animal: 1, atMs: Date.UTC(2026, 0, 1) };
    expect(b.mended).toEqual([{ since, deltaMs: MORNING - Date.UTC(2026, 0, 1) - 5000 }]);
    expect(b.day.shown().clock).toEqual({ set: true, local: '2026-09-14T08:00:00' });
  });

  test('set by a time service: found out by its jump, and the session stays the same one', () => {
    const b = started(bench(null, fakeClock(Date.UTC(2026, 0, 1), false)));
    const id = b.state().cycle.session;
    b.clock.advance(60_000);
    b.clock.setWall(MORNING, true);
    b.give({ t: b.clock.now(), tick: true });
    expect(b.mended).toMatchObject([{ deltaMs: MORNING - Date.UTC(2026, 0, 1) - 60_000 }]);
    expect(b.state().cycle.session).toBe(id);
  });
});
