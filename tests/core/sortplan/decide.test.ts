import { describe, expect, it } from 'vitest';
import { cutsKg, decide, refusal, waitsForTag } from '../../../src/core/sortplan/decide.ts';
import type { AnimalFacts, Counts, Lot, Plan, TagFacts } from '../../../src/core/sortplan/plan.ts';
import { draft, lamb } from './plans.ts';

const free = lamb.known as TagFacts;
const [stores, fit, heavy] = draft.lots as [Lot, Lot, Lot];
const tags = draft.tags as NonNullable<Plan['tags']>;
const untaggedPlan: Plan = { ...draft };
delete untaggedPlan.tags;

function say(plan: Partial<Plan>, animal: Partial<AnimalFacts>, counts: Counts = {}) {
  const decision = decide({ ...draft, ...plan }, { ...lamb, ...animal }, counts);
  if (decision === null) return null;
  const { lot, exit, rule, reason, flags } = decision;
  return [lot, exit, rule, reason, ...flags];
}

/** Only the lot, for a weight without a tag to wait for. */
function lotFor(kg: number, previousLot: string | null = null): string | null {
  return decide(draft, { ...lamb, kg, previousLot }, {})?.lot ?? null;
}

describe('weight', () => {
  it('says the rule and the reason in words', () => {
    expect(say({}, {})).toEqual([
      'Fit',
      'ahead',
      'sure',
      '41.6 kg: Fit, 40 to 45; sure after 0.8 s',
    ]);
    expect(say({}, { kg: 32.05, basis: 'settled', afterMs: 1250 })).toEqual([
      'Stores',
      'left',
      'settled',
      '32.05 kg: Stores, below 40; settled after 1.3 s',
    ]);
    expect(say({}, { kg: 45 })).toEqual([
      'Heavy',
      'right',
      'sure',
      '45 kg: Heavy, from 45; sure after 0.8 s',
    ]);
  });

  it('exactly on a cut goes up; cuts compare what is recorded, to 0.01 kg', () => {
    expect([39.99, 39.994, 39.996, 40, 44.99, 45].map((kg) => lotFor(kg))).toEqual([
      'Stores',
      'Stores',
      'Fit',
      'Fit',
      'Fit',
      'Heavy',
    ]);
  });

  it('keeps the lot until the cut is passed by more than the leeway', () => {
    expect([40.3, 40.31].map((kg) => lotFor(kg, 'Stores'))).toEqual(['Stores', 'Fit']);
    expect([39.7, 39.69].map((kg) => lotFor(kg, 'Fit'))).toEqual(['Fit', 'Stores']);
    expect([45.3, 45.31].map((kg) => lotFor(kg, 'Fit'))).toEqual(['Fit', 'Heavy']);
    expect([44.7, 44.69].map((kg) => lotFor(kg, 'Heavy'))).toEqual(['Heavy', 'Fit']);
    expect(lotFor(50, 'Stores')).toBe('Heavy');
    expect(lotFor(41, 'a lot of another plan')).toBe('Fit');
    expect(say({}, { kg: 39.8, previousLot: 'Fit' })?.[3]).toBe(
      '39.8 kg: Fit, 40 to 45, kept within 0.3 kg of the cut; sure after 0.8 s',
    );
    // The word "kept" is said only where it is so.
    expect(say({}, { kg: 45.31, previousLot: 'Fit' })?.[3]).not.toMatch(/kept/);
    expect(say({}, { kg: 41.6, previousLot: 'Fit' })?.[3]).not.toMatch(/kept/);
  });

  it('outside the mob goes the way of the not sure, with that reason', () => {
    const way: Partial<Plan> = { unsure: { lot: 'Stores' } };
    expect(say({}, { kg: 11.99 })).toEqual([
      null,
      null,
      'unsure',
      '11.99 kg: not of this mob, 12 to 65: hold',
      'not-of-this-mob',
    ]);
    expect(say(way, { kg: 65.01 })).toEqual([
      'Stores',
      'left',
      'unsure',
      '65.01 kg: not of this mob, 12 to 65: Stores',
      'not-of-this-mob',
    ]);
    expect([lotFor(12), lotFor(65)]).toEqual(['Stores', 'Heavy']);
    expect([lotFor(11.99), lotFor(65.01)]).toEqual([null, null]);
    expect([lotFor(11.7, 'Stores'), lotFor(65.3, 'Heavy')]).toEqual(['Stores', 'Heavy']);
    expect([lotFor(11.69, 'Stores'), lotFor(65.31, 'Heavy')]).toEqual([null, null]);
  });

  it('that is not good enough decides nothing; not sure goes the way of the plan', () => {
    expect(say({}, { basis: null })).toBeNull();
    expect(say({}, { kg: null })).toBeNull();
    expect(say({}, { kg: Number.NaN })).toBeNull();
    const unsure = { basis: null, unsure: 'only the front feet are on' };
    expect(say({}, unsure)).toEqual([
      null,
      null,
      'unsure',
      'not sure: only the front feet are on: hold',
    ]);
    expect(say({ unsure: { exit: 'left' } }, unsure)).toEqual([
      null,
      'left',
      'unsure',
      'not sure: only the front feet are on: left',
    ]);
    expect(say({ unsure: { lot: 'Stores' } }, unsure)?.slice(0, 3)).toEqual([
      'Stores',
      'left',
      'unsure',
    ]);
    // A good weight outweighs what was odd before.
    expect(say({}, { unsure: 'late' })?.[2]).toBe('sure');
  });

  it('never leads the not sure to slaughter unless the plan allows it', () => {
    const unsure = { basis: null, unsure: 'late' };
    const bad: Partial<Plan> = { unsure: { lot: 'Fit' } };
    expect(say(bad, unsure)).toEqual([
      null,
      null,
      'unsure',
      'not sure, not to slaughter (not sure: late: Fit): hold',
    ]);
    expect(say({ ...bad, allowUnsureToSlaughter: true }, unsure)?.[0]).toBe('Fit');
    // Nor one that is not of this mob, however well it was weighed.
    expect(say(bad, { kg: 66 })?.slice(0, 3)).toEqual([null, null, 'unsure']);
    // Nor a list, where the weight is not sure.
    const list: Partial<Plan> = {
      tags: { ...tags, lists: [{ file: 'a.csv', lot: 'Fit' }] },
    };
    const listed = { known: { ...free, list: 'a.csv' } };
    expect(say(list, { ...listed, basis: null })?.[0]).toBe('Fit');
    expect(say(list, { ...listed, ...unsure })?.[0]).toBeNull();
  });

  it('has one answer too where the bands end in a gap, or are one', () => {
    const gap = [stores, fit, { ...heavy, belowKg: 60 }];
    expect(say({ lots: gap }, { kg: 62 })?.[0]).toBe('Heavy');
    expect(say({ lots: [{ name: 'All', exit: 'ahead' }] }, {})?.[3]).toBe(
      '41.6 kg: All, any weight; sure after 0.8 s',
    );
  });

  it('holds where the plan has no such lot', () => {
    expect(say({ lots: [] }, {})).toEqual([
      null,
      null,
      'unsure',
      'the plan has no lot for a weight: hold',
    ]);
    expect(say({ unsure: { lot: 'Gone' } }, { kg: 5 })?.slice(0, 4)).toEqual([
      null,
      null,
      'unsure',
      '5 kg: not of this mob, 12 to 65: no lot Gone, hold',
    ]);
  });

  it('says the colour to spray', () => {
    const red = [{ ...stores, mark: 'red' }, fit, heavy];
    const asked = { ...draft, lots: red };
    expect(decide(asked, { ...lamb, kg: 30 }, {})?.mark).toBe('red');
    expect(decide(asked, { ...lamb, kg: 30, byHand: 'left' }, {})?.mark).toBe('red');
    expect(decide(asked, lamb, {})).not.toHaveProperty('mark');
  });
});

describe('cuts', () => {
  it('are all weights at which the answer changes', () => {
    expect(cutsKg(draft)).toEqual([12, 40, 45, 65]);
    const marks = {
      offer: [],
      rules: [
        { when: [{ mark: 'lame' }], fromKg: 38, belowKg: 45, lot: 'Stores' },
        { when: [{ mark: 'keep' }], lot: 'Stores' },
      ],
    };
    expect(cutsKg({ ...draft, marks })).toEqual([12, 38, 40, 45, 65]);
    const aside = { name: 'Keep', exit: 'right', aside: true, belowKg: 20 };
    expect(cutsKg({ ...draft, lots: [aside, ...draft.lots] })).toEqual([12, 40, 45, 65]);
    expect(cutsKg({ ...draft, work: 'weigh-only' })).toEqual([12, 65]);
  });
});

describe('withdrawal', () => {
  const held = { known: { ...free, held: true, freeOn: '2026-09-20' } };
  const unclear = { known: { ...free, held: null } };

  it('comes first, and says the free day', () => {
    expect(say({}, held)).toEqual([
      'Stores',
      'left',
      'withdrawal',
      'still in withdrawal, free on 2026-09-20: Stores',
    ]);
    expect(say({}, unclear)).toEqual([
      'Stores',
      'left',
      'withdrawal',
      'withdrawal is unclear, free day not known: Stores',
    ]);
    expect(say({}, { ...held, basis: null })?.[2]).toBe('withdrawal');
    const listed = { known: { ...held.known, list: 'keep-back.csv' } };
    expect(say({}, listed)?.[2]).toBe('withdrawal');
    const exit: Partial<Plan> = { tags: { ...tags, withdrawal: { exit: 'left' } } };
    expect(say(exit, held)?.slice(0, 3)).toEqual([null, 'left', 'withdrawal']);
  });

  it('refuses a slaughter exit by hand, and lets any other be named', () => {
    expect(say({}, { ...held, byHand: 'right' })).toEqual([
      'Stores',
      'left',
      'withdrawal',
      'still in withdrawal, free on 2026-09-20: Stores',
      'by-hand-refused',
    ]);
    expect(say({}, { ...held, byHand: 'left' })?.slice(2)).toEqual([
      'by-hand',
      '41.6 kg: Stores, by hand',
    ]);
    expect(refusal(draft, { ...lamb, ...held }, 'right')).toBe(
      'Not to Heavy (for slaughter): still in withdrawal, free on 2026-09-20. Name another exit; only a correction to the medicine record lifts this.',
    );
    expect(refusal(draft, { ...lamb, ...unclear }, 'ahead')).toBe(
      'Not to Fit (for slaughter): withdrawal is unclear, free day not known. Name another exit; only a correction to the medicine record lifts this.',
    );
    expect(refusal(draft, { ...lamb, ...held }, 'left')).toBeNull();
    expect(refusal(draft, lamb, 'right')).toBeNull();
    expect(refusal(draft, { ...lamb, known: null }, 'right')).toBeNull();
  });

  it('counts for a whole exit: what shares it with slaughter is slaughter', () => {
    const shared: Plan = { ...draft, lots: [stores, fit, { ...heavy, exit: 'left' }] };
    expect(say(shared, held)).toEqual([
      null,
      null,
      'withdrawal',
      'still in withdrawal, free on 2026-09-20, not to slaughter (still in withdrawal, free on 2026-09-20: Stores): hold',
    ]);
    expect(refusal(shared, { ...lamb, ...held }, 'left')).toMatch(/^Not to Heavy \(/);
    const both: Plan = { ...draft, lots: [stores, fit, { ...heavy, exit: 'ahead' }] };
    expect(refusal(both, { ...lamb, ...held }, 'ahead')).toMatch(/^Not to Fit, Heavy \(/);
  });

  it('without tags in the plan holds from slaughter and sorts the rest', () => {
    const ask = (kg: number) => decide(untaggedPlan, { ...lamb, ...held, kg }, {});
    expect(ask(30)).toMatchObject({ lot: 'Stores', rule: 'sure' });
    expect(ask(41.6)).toMatchObject({ lot: null, exit: null, rule: 'withdrawal' });
  });

  it('of the mob: an animal with no tag counts as treated, a colour adds, no mark lifts', () => {
    const medicine = {
      untaggedHeld: true,
      freeOn: '2026-09-20',
      colours: [{ colour: 'blue', freeOn: '2026-09-25' }],
    };
    const untagged = { tag: null, known: null };
    const late = { ...untagged, afterMs: 5000 };
    expect(say({ medicine }, untagged)).toBeNull();
    expect(say({ medicine }, late)?.slice(2)).toEqual([
      'withdrawal',
      'no tag facts and a treatment of this mob is open, free on 2026-09-20: Stores',
    ]);
    expect(say({ medicine }, { ...untagged, tagsOff: true })?.[2]).toBe('withdrawal');
    expect(say({ medicine }, {})?.[2]).toBe('sure');
    expect(
      say({ medicine: { ...medicine, untaggedHeld: false } }, { ...untagged, tagsOff: true })?.[2],
    ).toBe('sure');
    const blue = { marks: [{ name: 'colour', value: 'blue' }] };
    expect(say({ medicine }, blue)?.slice(2)).toEqual([
      'withdrawal',
      'marked blue, still in withdrawal, free on 2026-09-25: Stores',
    ]);
    expect(say({ medicine }, { marks: [{ name: 'colour', value: 'red' }] })?.[2]).toBe('sure');
    expect(say({ medicine }, { marks: [{ name: 'keep', value: 'blue' }] })?.[2]).toBe('sure');
    expect(say({ medicine }, { ...late, marks: [{ name: 'colour', value: 'none' }] })?.[2]).toBe(
      'withdrawal',
    );
  });
});

describe('by hand', () => {
  it('outweighs list, gain and weight, with no weight too', () => {
    expect(say({}, { byHand: 'right', known: { ...free, list: 'keep-back.csv' } })).toEqual([
      'Heavy',
      'right',
      'by-hand',
      '41.6 kg: Heavy, by hand',
    ]);
    expect(say({}, { byHand: 'left', kg: null, basis: null })).toEqual([
      'Stores',
      'left',
      'by-hand',
      'Stores, by hand',
    ]);
    expect(say({}, { byHand: 'left', basis: null, unsure: 'leaning' })?.[2]).toBe('by-hand');
  });

  it('to an exit of several lots names the one of the weight, else the first; of none, no lot', () => {
    const lots = [stores, { ...fit, exit: 'left' }, heavy];
    expect(say({ lots }, { byHand: 'left' })?.[0]).toBe('Fit');
    expect(say({ lots }, { byHand: 'left', kg: 30 })?.[0]).toBe('Stores');
    expect(say({ lots }, { byHand: 'left', kg: 50 })?.[0]).toBe('Stores');
    expect(say({ lots }, { byHand: 'left', basis: null })?.[0]).toBe('Stores');
    const first: Lot = { name: 'First', exit: 'left', aside: true };
    expect(say({ lots: [first, ...lots] }, { byHand: 'left', basis: null })?.[0]).toBe('First');
    expect(say({ lots: [first, ...lots] }, { byHand: 'left', kg: 30 })?.[0]).toBe('Stores');
    expect(say({ lots }, { byHand: 'far' })).toEqual([
      null,
      'far',
      'by-hand',
      '41.6 kg: far, by hand',
    ]);
  });

  it('to slaughter waits for the tag as long as any decision does', () => {
    const untagged = { tag: null, known: null, byHand: 'right' };
    expect(say({}, { ...untagged, afterMs: 4999 })).toBeNull();
    expect(say({}, { ...untagged, afterMs: 5000 })?.[2]).toBe('by-hand');
    expect(say({}, { ...untagged, tagsOff: true })?.[2]).toBe('by-hand');
    expect(say({}, { ...untagged, byHand: 'left' })?.[2]).toBe('by-hand');
  });

  it('goes over a full lot, and says so', () => {
    expect(say({}, { byHand: 'ahead' }, { Fit: 60 })?.slice(2)).toEqual([
      'by-hand',
      '41.6 kg: Fit, by hand',
      'over-capacity',
    ]);
    expect(say({}, { byHand: 'ahead' }, { Fit: 59 })?.slice(4)).toEqual([]);
  });
});

describe('tags', () => {
  it('on a list go to its lot, with or without a weight', () => {
    const listed = { known: { ...free, list: 'keep-back.csv' } };
    expect(say({}, listed)).toEqual(['Stores', 'left', 'tag', 'on the list keep-back.csv: Stores']);
    expect(say({}, { ...listed, basis: null })?.[2]).toBe('tag');
    expect(say({}, { known: { ...free, list: 'keep-back' } })?.[2]).toBe('tag');
    expect(say({}, { known: { ...free, list: 'keep' } })?.[2]).toBe('sure');
    expect(say({}, { known: { ...free, list: '' } })?.[2]).toBe('sure');
    expect(decide(untaggedPlan, { ...lamb, ...listed }, {})?.rule).toBe('sure');
  });

  it('are waited for until the call, then the way of the unread', () => {
    const untagged = { tag: null, known: null };
    const asked: AnimalFacts = { ...lamb, ...untagged };
    expect(waitsForTag(draft, { ...asked, afterMs: 4999 })).toBe(true);
    expect(waitsForTag(draft, { ...asked, afterMs: 5000 })).toBe(false);
    expect(waitsForTag(draft, { ...asked, tagsOff: true })).toBe(false);
    expect(waitsForTag(draft, lamb)).toBe(false);
    expect(say({}, { ...untagged, afterMs: 4999 })).toBeNull();
    expect(say({}, { ...untagged, afterMs: 5000 })).toEqual([
      null,
      null,
      'tag',
      'tag not read: hold',
      'unread',
    ]);
    const given = { ...tags, unread: { lot: 'Stores' } };
    expect(say({ tags: given }, { ...untagged, afterMs: 5000 })).toEqual([
      'Stores',
      'left',
      'tag',
      'tag not read: Stores',
      'unread',
    ]);
    const bad = { ...tags, unread: { lot: 'Fit' } };
    expect(say({ tags: bad }, { ...untagged, afterMs: 5000 })?.slice(0, 3)).toEqual([
      null,
      null,
      'unsure',
    ]);
  });

  it('without tags in the plan, or with tags off, are not waited for', () => {
    const untagged = { ...lamb, tag: null, known: null };
    expect(waitsForTag(untaggedPlan, untagged)).toBe(false);
    expect(decide(untaggedPlan, untagged, {})?.lot).toBe('Fit');
    expect(say({}, { tag: null, known: null, tagsOff: true })?.[0]).toBe('Fit');
  });
});

describe('kinds of work', () => {
  it('weigh only: moves no leaf and still says weight and doubt', () => {
    const plan: Plan = { ...draft, work: 'weigh-only' };
    expect(decide(plan, lamb, {})).toEqual({
      lot: null,
      exit: null,
      stay: true,
      rule: 'sure',
      reason: '41.6 kg: weighed only; sure after 0.8 s',
      flags: [],
    });
    expect(decide(plan, { ...lamb, basis: null }, {})).toBeNull();
    expect(decide(plan, { ...lamb, kg: 11.9, previousLot: 'Stores' }, {})).toMatchObject({
      stay: true,
      reason: '11.9 kg: not of this mob, 12 to 65; sure after 0.8 s',
      flags: ['not-of-this-mob'],
    });
    const unsure = { ...lamb, basis: null, unsure: 'leaning' };
    const held = decide(plan, unsure, {});
    expect(held).toMatchObject({ exit: null, rule: 'unsure', reason: 'not sure: leaning: hold' });
    expect(held).not.toHaveProperty('stay');
    expect(decide({ ...plan, unsure: { exit: 'left' } }, unsure, {})).toEqual({
      lot: null,
      exit: null,
      stay: true,
      rule: 'unsure',
      reason: 'not sure: leaning',
      flags: [],
    });
    expect(refusal(plan, lamb, 'left')).toBe(
      'No leaf moves in this kind of work: pick a plan that sorts.',
    );
  });

  it('count only: needs nothing', () => {
    const plan: Plan = { ...draft, work: 'count-only' };
    expect(decide(plan, { ...lamb, kg: null, basis: null, byHand: 'left' }, {})).toEqual({
      lot: null,
      exit: null,
      stay: true,
      rule: 'by-hand',
      reason: 'count only',
      flags: [],
    });
    expect(refusal(plan, lamb, 'left')).not.toBeNull();
  });

  it('sort only: by list, by split, by hand, else the way of the not sure at the call', () => {
    const rest: Lot = { name: 'Rest', exit: 'ahead' };
    const keep: Lot = { name: 'Keep', exit: 'left', aside: true };
    const keeping = {
      lists: [{ file: 'a.csv', lot: 'Keep' }],
      withdrawal: { lot: 'Keep' },
      unread: 'hold' as const,
    };
    const base: Plan = {
      ...draft,
      work: 'sort-only',
      lots: [rest, keep],
      tags: keeping,
      unsure: { lot: 'Rest' },
    };
    const none = { ...lamb, kg: null, basis: null };
    expect(decide(base, none, {})).toMatchObject({
      lot: 'Rest',
      rule: 'tag',
      reason: 'Rest, on no list',
    });
    const listed = { ...none, known: { ...free, list: 'a.csv' } };
    expect(decide(base, listed, {})).toMatchObject({ lot: 'Keep', rule: 'tag' });
    const bare: Plan = { ...base };
    delete bare.tags;
    expect(decide(bare, none, {})).toBeNull();
    expect(decide(bare, { ...none, afterMs: 5000 }, {})).toMatchObject({
      lot: 'Rest',
      rule: 'unsure',
      reason: 'nobody named an exit: Rest',
    });
    expect(decide(bare, { ...none, unsure: 'late' }, {})?.rule).toBe('unsure');
    expect(decide(bare, { ...none, byHand: 'left' }, {})?.lot).toBe('Keep');
    const split: Plan = { ...bare, lots: [{ ...rest, splitWith: ['Keep'] }, keep] };
    expect(decide(split, none, { Rest: 1 })).toMatchObject({ lot: 'Keep', rule: 'split' });
    expect(decide(split, none, { Rest: 1, Keep: 1 })).toMatchObject({ lot: 'Rest', rule: 'split' });
  });
});

describe('even split', () => {
  const spare: Lot = { name: 'Spare', exit: 'right', aside: true };
  const lots = [{ ...stores, splitWith: ['Spare', 'Pen'] }, fit, spare, { ...spare, name: 'Pen' }];

  it('alternates by head, and keeps what was decided for this animal', () => {
    const counts: Record<string, number> = {};
    const order = Array.from({ length: 6 }, () => {
      const lot = decide({ ...draft, lots }, { ...lamb, kg: 30 }, counts)?.lot ?? '';
      counts[lot] = (counts[lot] ?? 0) + 1;
      return lot;
    });
    expect(order).toEqual(['Stores', 'Spare', 'Pen', 'Stores', 'Spare', 'Pen']);
    expect(say({ lots }, { kg: 30, previousLot: 'Stores' }, { Stores: 9 })).toEqual([
      'Stores',
      'left',
      'split',
      '30 kg: Stores, below 40; sure after 0.8 s; shared evenly: Stores',
    ]);
    expect(say({ lots }, { kg: 30, previousLot: 'Spare' }, { Spare: 9 })?.[0]).toBe('Spare');
    expect(say({ lots }, { kg: 30, previousLot: 'Fit' }, { Stores: 1, Spare: 1 })?.[0]).toBe('Pen');
    // A lot by the name of something that every object has counts from nothing.
    const odd = [{ ...stores, splitWith: ['constructor'] }, fit, { ...spare, name: 'constructor' }];
    expect(say({ lots: odd }, { kg: 30 }, { Stores: 1 })?.[0]).toBe('constructor');
  });
});
