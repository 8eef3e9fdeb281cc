import { describe, expect, it } from 'vitest';
import type { Contact, ContactsResult } from '../../../src/core/contacts/contacts.ts';
import {
  beams,
  initialLane,
  jumpedOut,
  laneClear,
  watchLane,
  weightGone,
} from '../../../src/core/interlock/lane.ts';
import type { LaneState, Sight } from '../../../src/core/interlock/state.ts';

const HOLD_MS = 500;

/** A lane told step by step what is seen. Contacts not named are not fitted. */
class Lane {
  state: LaneState = initialLane();
  t = 0;
  at: string | null = 'ahead';
  contacts: Record<string, Contact> = {};
  crate: Omit<Sight, 'contacts'> = { scaleFresh: true, crateEmpty: true, crateLoaded: false };

  constructor(fitted: string[]) {
    for (const name of fitted) this.contacts[name] = contact(true);
  }

  seen(): ContactsResult {
    return { fresh: true, linkUp: true, contacts: this.contacts, chattering: [] };
  }

  step(acts: { started?: boolean; confirmed?: boolean } = {}): this {
    const sight = { contacts: this.seen(), ...this.crate };
    const { started = false, confirmed = false } = acts;
    const acted = { started, confirmed, unseen: false };
    const signs = { sight, at: this.at, ...acted, times: { knockMs: 150 } };
    this.state = watchLane(this.state, this.t, signs);
    for (const [name, seen] of Object.entries(this.contacts)) {
      this.contacts[name] = { ...seen, rose: false, fell: false };
    }
    return this;
  }

  after(ms: number): this {
    this.t += ms;
    return this.step();
  }

  /** Raw and level at once. */
  set(name: string, on: boolean): this {
    const before = this.contacts[name]?.level ?? false;
    this.contacts[name] = { ...contact(on), rose: on && !before, fell: !on && before };
    return this.step();
  }

  /** The raw level alone: towards permitting the debounced one comes later. */
  raw(name: string, on: boolean): this {
    this.contacts[name] = { ...(this.contacts[name] ?? contact(false)), raw: on };
    return this.step();
  }

  load(what: 'empty' | 'loaded' | 'between'): this {
    this.crate = { scaleFresh: true, crateEmpty: what === 'empty', crateLoaded: what === 'loaded' };
    return this.step();
  }

  started(): this {
    return this.step({ started: true }).step({ confirmed: true });
  }

  clear(): boolean {
    return laneClear(this.state, this.t, this.seen(), HOLD_MS);
  }
}

function contact(on: boolean): Contact {
  return { raw: on, level: on, since: null, rose: false, fell: false };
}

it('beams are laneClear, alone and one an exit', () => {
  const { contacts } = new Lane(['frontShut', 'laneClear', 'laneClear.left', 'notlaneClear.x']);
  expect(beams({ fresh: true, linkUp: true, contacts, chattering: [] })).toEqual([
    'laneClear',
    'laneClear.left',
  ]);
});

describe('a start', () => {
  it.each([[['frontShut']], [['laneClear']], [['frontShut', 'laneClear.left']]])(
    'with %s the lane is occupied until a person has looked',
    (fitted) => {
      const lane = new Lane(fitted).after(60_000);
      expect(lane.clear()).toBe(false);
      expect(lane.step({ confirmed: true }).clear()).toBe(true);
      expect(lane.step({ started: true }).clear()).toBe(false);
      expect(lane.after(60_000).clear()).toBe(false);
      expect(lane.step({ confirmed: true }).clear()).toBe(true);
    },
  );

  it('the word counts in the same step as the start', () => {
    const lane = new Lane(['frontShut']).after(1000).step({ started: true, confirmed: true });
    expect(lane.clear()).toBe(true);
  });

  it('no word helps against an open front or a broken beam', () => {
    const lane = new Lane(['frontShut', 'laneClear']).after(1000);
    lane.set('frontShut', false).step({ confirmed: true });
    expect(lane.state.needsConfirm).toBe(true);
    lane.set('frontShut', true).set('laneClear', false).step({ confirmed: true });
    expect(lane.state.needsConfirm).toBe(true);
    lane.set('laneClear', true).step({ confirmed: true });
    expect(lane.state).toMatchObject({ needsConfirm: false, waitsFor: null });
  });

  it('with neither front contact nor beam there is nothing to be clear by', () => {
    const lane = new Lane(['backShut']).started().after(60_000);
    expect(lane.state.needsConfirm).toBe(false);
    expect(lane.clear()).toBe(false);
  });
});

describe('with no beam', () => {
  const crossing = (): Lane => {
    const lane = new Lane(['frontShut']).started().after(1000).load('loaded').after(1000);
    return lane.set('frontShut', false);
  };

  it('is occupied until the hold time after the front was shut', () => {
    const lane = crossing().after(400).load('empty').after(400).set('frontShut', true);
    expect(lane.after(HOLD_MS - 1).clear()).toBe(false);
    expect(lane.after(1).clear()).toBe(true);
  });
  it('until the hold time after the front opened', () => {
    expect(
      crossing()
        .after(HOLD_MS - 1)
        .clear(),
    ).toBe(false);
    expect(crossing().after(HOLD_MS).clear()).toBe(true);
  });
  it('until the hold time after the weight went', () => {
    const lane = crossing().after(400).load('empty');
    expect(lane.after(HOLD_MS - 1).clear()).toBe(false);
    expect(lane.after(1).clear()).toBe(true);
  });
  it('needs no look after a crossing that the front contact saw', () => {
    const lane = crossing()
      .after(400)
      .load('empty')
      .after(400)
      .set('frontShut', true)
      .after(60_000);
    expect(lane.state).toMatchObject({ needsConfirm: false, openedAt: null, waitsFor: null });
  });
});

describe('with a beam behind the gate', () => {
  const BEAM = ['frontShut', 'laneClear'];
  const opened = (): Lane =>
    new Lane(BEAM).started().after(1000).load('loaded').after(1000).set('frontShut', false);

  it('is occupied until the beam was broken and then clear for the hold time', () => {
    const lane = opened().after(300).load('empty').after(300).set('frontShut', true);
    expect(lane.after(60_000).clear()).toBe(false);
    expect(lane.state.waitsFor).toBe('laneClear');
    lane.set('laneClear', false);
    expect(lane.after(400).clear()).toBe(false);
    lane.set('laneClear', true);
    expect(lane.clear()).toBe(false);
    expect(lane.after(HOLD_MS - 1).clear()).toBe(false);
    expect(lane.after(1).clear()).toBe(true);
  });

  it('the beam broken before the front was shut counts as well', () => {
    const lane = opened().after(200).set('laneClear', false).after(200).set('laneClear', true);
    expect(lane.after(300).load('empty').set('frontShut', true).after(HOLD_MS).clear()).toBe(true);
  });

  it('a beam that is broken already has to break anew for this crossing', () => {
    const lane = new Lane(BEAM).started().after(1000).load('loaded').set('laneClear', false);
    lane.after(200).set('frontShut', false).after(200).set('laneClear', true);
    expect(lane.after(60_000).clear()).toBe(false);
    lane.set('laneClear', false).after(100).set('laneClear', true);
    expect(lane.after(HOLD_MS).clear()).toBe(true);
  });

  it('clear on the wire is not clear before it is debounced', () => {
    const lane = opened().set('laneClear', false).raw('laneClear', true).after(60_000);
    expect(lane.clear()).toBe(false);
  });

  it('a broken beam is a sign as long as it is broken', () => {
    const lane = opened().set('laneClear', false).after(5000);
    expect(lane.state.signAt).toBe(lane.t);
  });

  it('a person who looks lets it be clear though the beam never broke', () => {
    const lane = opened().after(300).load('empty').set('frontShut', true).after(60_000);
    expect(lane.step({ confirmed: true }).clear()).toBe(true);
  });

  it('a front that was only knocked waits for no beam', () => {
    const lane = opened().after(149).set('frontShut', true);
    expect(lane.state.waitsFor).toBeNull();
    expect(lane.after(HOLD_MS).clear()).toBe(true);
    const let_go = opened().after(150).set('frontShut', true);
    expect(let_go.state.waitsFor).toBe('laneClear');
  });

  it('a knock takes nothing from a crossing before it', () => {
    const lane = opened().after(300).set('frontShut', true).after(300);
    lane.set('frontShut', false).after(50).set('frontShut', true);
    expect(lane.state.waitsFor).toBe('laneClear');
  });

  it('opened over an empty crate nobody crossed', () => {
    const lane = new Lane(BEAM).started().after(1000).set('frontShut', false).after(300);
    expect(lane.set('frontShut', true).after(HOLD_MS).clear()).toBe(true);
    expect(lane.state.waitsFor).toBeNull();
  });

  it('a weight that is neither counts as somebody on the crate', () => {
    const lane = new Lane(BEAM).started().after(1000).load('between').set('frontShut', false);
    expect(lane.state.waitsFor).toBe('laneClear');
  });
});

describe('with a beam at each exit', () => {
  const TWO = ['frontShut', 'laneClear.left', 'laneClear.right'];
  const opened = (at: string | null): Lane => {
    const lane = new Lane(TWO).started().after(1000).load('loaded');
    lane.at = at;
    return lane.set('frontShut', false).after(300).load('empty').set('frontShut', true);
  };

  it('waits for the one where the gate stood', () => {
    const lane = opened('left').set('laneClear.right', false).set('laneClear.right', true);
    expect(lane.after(HOLD_MS).clear()).toBe(false);
    lane.set('laneClear.left', false).set('laneClear.left', true);
    expect(lane.after(HOLD_MS).clear()).toBe(true);
  });
  it('every one of them must be clear', () => {
    const lane = opened('left').set('laneClear.left', false).set('laneClear.left', true);
    lane.after(HOLD_MS).set('laneClear.right', false);
    expect(lane.clear()).toBe(false);
  });
  it('an exit without a beam of its own waits for the hold time', () => {
    expect(opened('ahead').after(HOLD_MS).clear()).toBe(true);
  });
  it('where nobody knows how the gate stood a person has to look', () => {
    const lane = opened(null);
    expect(lane.state.needsConfirm).toBe(true);
    expect(lane.after(60_000).clear()).toBe(false);
  });
  it('the common beam stands in for an exit without one of its own', () => {
    const lane = new Lane([...TWO, 'laneClear']).started().after(1000).load('loaded');
    expect(lane.set('frontShut', false).state.waitsFor).toBe('laneClear');
  });
  it('with no beam at all it matters not where the gate stood', () => {
    const lane = new Lane(['frontShut']).started().after(1000).load('loaded');
    lane.at = null;
    expect(lane.set('frontShut', false).state.needsConfirm).toBe(false);
  });
});

describe('a second one through the open front', () => {
  const open = (): Lane =>
    new Lane(['frontShut']).started().after(1000).load('loaded').set('frontShut', false).after(300);

  it('that came on and left again needs a look', () => {
    const lane = open().load('empty').after(300).load('loaded').after(300).load('empty');
    expect(lane.state).toMatchObject({ needsConfirm: true, passer: true });
  });
  it('that stays on is the next one, and the front shut forgets it', () => {
    const lane = open().load('empty').after(300).load('loaded').after(300).set('frontShut', true);
    expect(lane.state).toMatchObject({ needsConfirm: false, passer: false });
    expect(lane.after(300).load('empty').state.needsConfirm).toBe(false);
  });
  it('opened over an empty crate whoever passes was counted by nothing', () => {
    const lane = new Lane(['frontShut']).started().after(1000).set('frontShut', false).after(300);
    expect(lane.load('loaded').load('empty').state.needsConfirm).toBe(true);
  });
});

describe('with no front contact', () => {
  const beamOnly = (): Lane => new Lane(['laneClear']).started().after(1000).load('loaded');

  it('a crossing is the weight that goes, and waits for the beam', () => {
    const lane = beamOnly().after(1000).load('empty');
    expect(lane.state).toMatchObject({ waitsFor: 'laneClear', needsConfirm: false });
    lane.set('laneClear', false).set('laneClear', true);
    expect(lane.after(HOLD_MS).clear()).toBe(true);
  });
  it('one by an exit without a beam was seen by no contact', () => {
    const lane = new Lane(['laneClear.left']).started().after(1000).load('loaded').load('empty');
    expect(lane.state).toMatchObject({ waitsFor: null, needsConfirm: true });
  });
  it('the beam may break before the hind feet are off', () => {
    const lane = beamOnly().set('laneClear', false).set('laneClear', true).load('empty');
    expect(lane.state).toMatchObject({ waitsFor: null, passer: false });
    expect(lane.after(HOLD_MS).clear()).toBe(true);
  });
  it('or in the same step', () => {
    const lane = beamOnly();
    lane.crate = { scaleFresh: true, crateEmpty: true, crateLoaded: false };
    expect(lane.set('laneClear', false).state.waitsFor).toBeNull();
  });
  it('no weight that goes, no crossing', () => {
    const lane = new Lane(['laneClear']).started().after(1000).load('between').load('empty');
    expect(lane.state.waitsFor).toBeNull();
    expect(lane.set('laneClear', false).state.passer).toBe(false);
  });
});

describe('weight', () => {
  const lane = (loaded: boolean): LaneState => ({ ...initialLane(), loaded });
  const sight = (crateEmpty: boolean, contacts: Record<string, Contact> = {}): Sight => ({
    contacts: { fresh: true, linkUp: true, contacts, chattering: [] },
    scaleFresh: true,
    crateEmpty,
    crateLoaded: !crateEmpty,
  });
  const BOTH = { frontShut: contact(true), backShut: contact(true) };

  it('is gone when the crate was loaded and now is empty', () => {
    expect(weightGone(lane(true), sight(true))).toBe(true);
    expect(weightGone(lane(false), sight(true))).toBe(false);
    expect(weightGone(lane(true), sight(false))).toBe(false);
  });
  it('gone with front and back shut: over a side', () => {
    expect(jumpedOut(lane(true), sight(true, BOTH))).toBe(true);
    expect(jumpedOut(lane(false), sight(true, BOTH))).toBe(false);
    expect(jumpedOut(lane(true), sight(true, { ...BOTH, backShut: contact(false) }))).toBe(false);
    expect(jumpedOut(lane(true), sight(true, { ...BOTH, frontShut: contact(false) }))).toBe(false);
    expect(jumpedOut(lane(true), sight(true, { frontShut: contact(true) }))).toBe(false);
    expect(jumpedOut(lane(true), sight(true, { backShut: contact(true) }))).toBe(false);
    expect(jumpedOut(lane(true), sight(true))).toBe(false);
  });
  it('over a side needs a look', () => {
    const jumped = new Lane(['frontShut', 'backShut']).started().after(1000).load('loaded');
    expect(jumped.load('empty').state.needsConfirm).toBe(true);
  });
  it('is remembered while the scale says nothing', () => {
    const silent = new Lane(['frontShut']).started().load('loaded').load('between');
    expect(silent.state.loaded).toBe(true);
    expect(silent.load('empty').state.loaded).toBe(false);
  });
});
