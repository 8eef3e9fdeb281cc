import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { formatError } from '../../src/config/errors.ts';
import { checkPlan, loadPlan, newPlan, planText, planVersion } from '../../src/config/plan.ts';
import { planSchema } from '../../src/config/plan-schema.ts';
import { siteSchema } from '../../src/config/site.ts';
import type { Plan } from '../../src/core/sortplan/plan.ts';
import { anyDice, soundPlan, EXITS } from '../core/sortplan/random.ts';
import { draft } from '../core/sortplan/plans.ts';

const GATE = ['left', 'ahead', 'right'];

const TEXT = `plan: 1
name: September draft
animals: { fromKg: 12, toKg: 65 }        # outside: "not of this mob"
lots:
  - { name: Stores, exit: left,  belowKg: 40 }
  - { name: Fit,    exit: ahead, belowKg: 45, forSlaughter: true, capacity: 60, whenFull: stop }
  - { name: Heavy,  exit: right, forSlaughter: true }
decide: { hysteresisKg: 0.3, settle: { withinKg: 0.5, forMs: 1000 }, confidence: 0.995, callAfterMs: 5000 }
unsure: hold
tags: { lists: [ { file: keep-back.csv, lot: Stores } ], withdrawal: { lot: Stores }, unread: hold }
`;

/** The errors of the draft plan with changes to its text, each made once. */
function errors(...changes: [string, string][]): string[] {
  let text = TEXT;
  for (const [from, to] of changes) {
    if (!text.includes(from)) throw new Error(`the text has no ${from}`);
    text = text.replace(from, to);
  }
  const loaded = loadPlan(text, 'p.yaml', GATE);
  return loaded.ok ? [] : loaded.errors.map(formatError);
}

describe('a sort plan file', () => {
  it('gives the plan that it says', () => {
    expect(loadPlan(TEXT, 'p.yaml', GATE)).toEqual({ ok: true, value: draft });
  });

  it('may say all that the grammar has', () => {
    const text = `plan: 1
name: Everything
work: weigh-and-sort
mob: Top field
animals: { fromKg: 12, toKg: 65 }
lots:
  - { name: Stores, exit: left, belowKg: 40, mark: blue, splitWith: [Rest] }
  - { name: Fit, exit: ahead, forSlaughter: true, killOn: 2026-09-14, capacity: 60, whenFull: { overflow: Rest } }
  - { name: Rest, exit: right, aside: true }
decide: { hysteresisKg: 0, settle: { withinKg: 0.5, forMs: 1000 }, callAfterMs: 5000 }
unsure: { lot: Rest }
tags: { lists: [], withdrawal: { exit: right }, unread: { exit: right } }
gain: { leastDays: 14, rules: [ { belowGramsPerDay: 100, lot: Rest }, { fromGramsPerDay: 300, belowGramsPerDay: 900, lot: Stores } ] }
marks:
  offer: [condition, sex, lame]
  rules:
    - { when: [ { mark: condition, from: 3, to: 5 }, { mark: sex, is: male } ], fromKg: 40, lot: Fit }
    - { when: [ { mark: lame }, { mark: keep, is: false }, { mark: colour, is: red } ], belowKg: 30, lot: Rest }
allowUnsureToSlaughter: false
`;
    const loaded = loadPlan(text, 'p.yaml', GATE);
    expect(loaded.ok ? [] : loaded.errors).toEqual([]);
  });

  it('needs no lots where nothing is sorted, and no rule to decide where nothing is weighed', () => {
    const base = `plan: 1\nname: A\nanimals: { fromKg: 12, toKg: 65 }\nunsure: hold\n`;
    const ok = (text: string) => loadPlan(text, 'p.yaml', GATE).ok;
    const decide = 'decide: { hysteresisKg: 0.3, callAfterMs: 5000';
    expect(ok(`${base}work: weigh-only\n${decide}, confidence: 0.99 }\n`)).toBe(true);
    expect(ok(`${base}work: weigh-only\n${decide} }\n`)).toBe(false);
    expect(ok(`${base}work: count-only\n${decide} }\n`)).toBe(true);
    const lots =
      'lots: [ { name: A, exit: left }, { name: B, exit: right, aside: true } ]\nwork: sort-only\n';
    expect(ok(`${base}${lots}${decide} }\n`)).toBe(true);
  });
});

/** Plans that are refused: what was changed in the draft, and every message. */
const REFUSED: [string, [string, string][], string[]][] = [
  [
    'a cut too many at the end: gap',
    [['name: Heavy,  exit: right', 'name: Heavy, belowKg: 60, exit: right']],
    [
      'p.yaml:7:29: gap: weights from 60 kg have no lot. Take belowKg off Heavy, the last lot, or add a lot for them.',
    ],
  ],
  [
    'no lot by weight at all: gap',
    [
      ['exit: left,  belowKg: 40', 'exit: left, aside: true'],
      ['exit: ahead, belowKg: 45', 'exit: ahead, aside: true'],
      ['exit: right, forSl', 'exit: right, aside: true, forSl'],
    ],
    ['p.yaml:5:3: gap: no lot takes animals by weight. Take aside off one of them.'],
  ],
  [
    'a cut that is missing: overlap',
    [['exit: left,  belowKg: 40', 'exit: left']],
    [
      'p.yaml:5:5: overlap: Stores has no belowKg and so takes what Fit should. Give Stores a belowKg, put it last, or write aside: true.',
    ],
  ],
  [
    'cuts out of order: overlap',
    [['belowKg: 45', 'belowKg: 39']],
    [
      'p.yaml:6:43: overlap: all below 39 kg are in Stores already, below 40. Order the lots from light to heavy.',
    ],
  ],
  [
    'two equal cuts: overlap',
    [['belowKg: 45', 'belowKg: 40']],
    [
      'p.yaml:6:43: overlap: all below 40 kg are in Stores already, below 40. Order the lots from light to heavy.',
    ],
  ],
  [
    'a cut outside the mob',
    [
      ['belowKg: 40', 'belowKg: 12'],
      ['belowKg: 45', 'belowKg: 65'],
    ],
    [
      'p.yaml:5:43: the cut at 12 kg is not within the mob, 12 to 65 kg. Move the cut, or widen animals.',
      'p.yaml:6:43: the cut at 65 kg is not within the mob, 12 to 65 kg. Move the cut, or widen animals.',
    ],
  ],
  [
    'a mob of no weight',
    [['fromKg: 12, toKg: 65', 'fromKg: 65, toKg: 12']],
    [
      'p.yaml:3:30: no weight is both from 65 and to 12 kg. Make toKg the heavier one.',
      'p.yaml:5:43: the cut at 40 kg is not within the mob, 65 to 12 kg. Move the cut, or widen animals.',
      'p.yaml:6:43: the cut at 45 kg is not within the mob, 65 to 12 kg. Move the cut, or widen animals.',
    ],
  ],
  [
    'a lot in a list that is not there',
    [['keep-back.csv, lot: Stores', 'keep-back.csv, lot: Store']],
    ['p.yaml:10:46: no lot is called Store. Did you mean "Stores"?'],
  ],
  [
    'a list twice',
    [['lot: Stores } ]', 'lot: Stores }, { file: keep-back.csv, lot: Fit } ]']],
    ['p.yaml:10:64: the list keep-back.csv stands twice. Remove one of them.'],
  ],
  [
    'a lot in an overflow that is not there',
    [['whenFull: stop', 'whenFull: { overflow: Over }']],
    ['p.yaml:6:103: no lot is called Over. Known here: Stores, Fit, Heavy.'],
  ],
  [
    'an exit that the gate lacks',
    [
      ['exit: right', 'exit: rigth'],
      ['unsure: hold', 'unsure: { exit: back }'],
      ['unread: hold', 'unread: { exit: far }'],
    ],
    [
      'p.yaml:7:27: the gate has no exit rigth. Did you mean "right"?',
      'p.yaml:9:17: the gate has no exit back. Known here: left, ahead, right.',
      'p.yaml:10:103: the gate has no exit far. Known here: left, ahead, right.',
    ],
  ],
  [
    'a leeway as wide as a band',
    [['hysteresisKg: 0.3', 'hysteresisKg: 5']],
    [
      'p.yaml:8:25: the leeway of 5 kg is as wide as the band of Fit or wider. Make the leeway smaller or the band wider.',
    ],
  ],
  [
    'neither confidence nor settle',
    [['settle: { withinKg: 0.5, forMs: 1000 }, confidence: 0.995, ', '']],
    [
      'p.yaml:8:9: neither settle nor confidence is given, so nothing is ever decided. Add confidence: 0.995, or settle: { withinKg: 0.5, forMs: 1000 }, or both.',
    ],
  ],
  [
    'a call before anything can settle',
    [['callAfterMs: 5000', 'callAfterMs: 1000']],
    [
      'p.yaml:8:102: the call after 1000 ms comes before a weight can settle for 1000 ms. Make callAfterMs longer than settle.forMs.',
    ],
  ],
  [
    'not sure to slaughter, by lot and by exit',
    [
      ['unsure: hold', 'unsure: { lot: Heavy }'],
      ['unread: hold', 'unread: { exit: ahead }'],
    ],
    [
      'p.yaml:9:16: animals not sure would go to Heavy at exit right, for slaughter. Name another way, or write allowUnsureToSlaughter: true.',
      'p.yaml:10:103: animals unread would go to Fit at exit ahead, for slaughter. Name another way, or write allowUnsureToSlaughter: true.',
    ],
  ],
  [
    'overflow to slaughter',
    [['whenFull: stop', 'whenFull: { overflow: Heavy }']],
    [
      'p.yaml:6:103: animals over from Fit would go to Heavy at exit right, for slaughter. Name another way, or write allowUnsureToSlaughter: true.',
    ],
  ],
  [
    'withdrawal to slaughter, whatever is allowed',
    [
      ['withdrawal: { lot: Stores }', 'withdrawal: { lot: Fit }'],
      ['unsure: hold', 'allowUnsureToSlaughter: true\nunsure: hold'],
    ],
    [
      'p.yaml:11:77: animals in withdrawal would go to Fit at exit ahead, for slaughter. Name a lot that is not for slaughter.',
    ],
  ],
  [
    'withdrawal to a lot that shares its exit with slaughter',
    [['name: Heavy,  exit: right', 'name: Heavy, exit: left']],
    [
      'p.yaml:10:77: animals in withdrawal would go to Heavy at exit left, for slaughter. Name a lot that is not for slaughter.',
    ],
  ],
  [
    'overflow in a circle',
    [
      ['belowKg: 40 }', 'belowKg: 40, capacity: 5, whenFull: { overflow: Fit } }'],
      ['whenFull: stop', 'whenFull: { overflow: Stores }'],
      ['unsure: hold', 'unsure: hold\nallowUnsureToSlaughter: true'],
    ],
    [
      'p.yaml:5:82: overflow goes round in a circle: Stores, Fit, Stores. Let one of them stop.',
      'p.yaml:6:103: overflow goes round in a circle: Fit, Stores, Fit. Let one of them stop.',
    ],
  ],
  [
    'overflow to itself',
    [
      ['whenFull: stop', 'whenFull: { overflow: Fit }'],
      ['unsure: hold', 'unsure: hold\nallowUnsureToSlaughter: true'],
    ],
    ['p.yaml:6:103: overflow goes round in a circle: Fit, Fit. Let one of them stop.'],
  ],
  [
    'full without a capacity',
    [['capacity: 60, ', '']],
    ['p.yaml:6:77: Fit has no capacity and so is never full. Add capacity.'],
  ],
  [
    'two lots of one name',
    [['name: Heavy', 'name: fit']],
    ['p.yaml:7:13: two lots are called fit. Rename one of them.'],
  ],
  [
    'a single lot',
    [
      ['  - { name: Stores, exit: left,  belowKg: 40 }\n', ''],
      [
        '  - { name: Fit,    exit: ahead, belowKg: 45, forSlaughter: true, capacity: 60, whenFull: stop }\n',
        '',
      ],
      ['Heavy,  exit: right, forSlaughter: true', 'Stores, exit: right'],
    ],
    [
      'p.yaml:5:3: a plan that sorts needs at least two lots. Add a lot, or write work: weigh-only.',
    ],
  ],
  [
    'a band for a lot that stands aside',
    [['belowKg: 40', 'belowKg: 40, aside: true']],
    ['p.yaml:5:43: Stores is aside and so has no band of weight. Remove aside or belowKg.'],
  ],
  [
    'a kill date in no calendar, and one for a lot that is not killed',
    [
      ['belowKg: 40', 'belowKg: 40, killOn: 2026-09-14'],
      ['belowKg: 45', 'belowKg: 45, killOn: 2026-02-30'],
    ],
    [
      'p.yaml:5:55: Stores is not for slaughter. Add forSlaughter: true or remove killOn.',
      'p.yaml:6:55: 2026-02-30 is not in the calendar. Write year-month-day.',
    ],
  ],
  [
    'splits that make no sense',
    [
      ['belowKg: 40', 'belowKg: 40, splitWith: [Stores, Fit, Hevy]'],
      ['belowKg: 45', 'belowKg: 45, splitWith: [Heavy, Heavy, Stores]'],
    ],
    [
      'p.yaml:5:59: Stores stands twice in the split. Remove it.',
      'p.yaml:5:67: Fit is split itself. Name all lots of the split in one place.',
      'p.yaml:5:72: no lot is called Hevy. Did you mean "Heavy"?',
      'p.yaml:6:66: Heavy stands twice in the split. Remove it.',
      'p.yaml:6:73: Stores is split itself. Name all lots of the split in one place.',
    ],
  ],
  [
    'a split between slaughter and not',
    [['belowKg: 40', 'belowKg: 40, splitWith: [Heavy]']],
    ['p.yaml:5:59: of Stores and Heavy only one is for slaughter. Split between lots of one kind.'],
  ],
  [
    'gain rules without sense',
    [
      [
        'unsure: hold',
        'unsure: hold\ngain: { leastDays: 7, rules: [ { lot: Stores }, { fromGramsPerDay: 100, belowGramsPerDay: 100, lot: Stors } ] }',
      ],
    ],
    [
      'p.yaml:10:32: a gain rule without a limit would take every animal. Add belowGramsPerDay or fromGramsPerDay.',
      'p.yaml:10:49: no gain is both from 100 and below 100 g a day. Make belowGramsPerDay the greater one.',
      'p.yaml:10:101: no lot is called Stors. Did you mean "Stores"?',
    ],
  ],
  [
    'mark rules without sense',
    [
      [
        'unsure: hold',
        `unsure: hold
marks:
  offer: [sex, lame, sex]
  rules:
    - { when: [ { mark: sex, from: 1 } ], lot: Stores }
    - { when: [ { mark: condition, from: 3, is: 3 } ], lot: Stores }
    - { when: [ { mark: condition, from: 3, to: 2 } ], lot: Stores }
    - { when: [ { mark: condition, from: 2.2 } ], lot: Stores }
    - { when: [ { mark: sex, is: ewe } ], lot: Stors }
    - { when: [ { mark: lame } ], fromKg: 40, belowKg: 40, lot: Stores }
    - { when: [ { mark: lame, is: false } ], fromKg: 65, lot: Stores }`,
      ],
    ],
    [
      'p.yaml:11:22: sex is offered twice. Remove one of them.',
      'p.yaml:13:17: sex has no from and to. Write is, or the mark alone.',
      'p.yaml:14:17: is and a range together. Keep one of them.',
      'p.yaml:15:17: no condition is from 3 to 2. Swap them.',
      'p.yaml:16:17: condition is one of 1, 1.5, 2, 2.5, 3, 3.5, 4, 4.5, 5. Write one that there is.',
      'p.yaml:17:17: sex is one of female, male, castrated. Write one that there is.',
      'p.yaml:17:48: no lot is called Stors. Did you mean "Stores"?',
      'p.yaml:18:7: no animal of this mob is both from 40 and below 40 kg. Move fromKg or belowKg.',
      'p.yaml:19:7: no animal of this mob is both from 65 and below 65 kg. Move fromKg or belowKg.',
    ],
  ],
  [
    'a mark rule narrower than the leeway',
    [
      [
        'unsure: hold',
        'unsure: hold\nmarks: { offer: [], rules: [ { when: [ { mark: lame } ], fromKg: 40, belowKg: 40.3, lot: Stores } ] }',
      ],
    ],
    [
      'p.yaml:8:25: the leeway of 0.3 kg is as wide as the band of mark rule 1 or wider. Make the leeway smaller or the band wider.',
    ],
  ],
  [
    'weights in a plan that does not weigh',
    [
      [
        'unsure: hold',
        'work: sort-only\nunsure: hold\ngain: { leastDays: 7, rules: [ { fromGramsPerDay: 100, lot: Stores } ] }\nmarks: { offer: [], rules: [ { when: [ { mark: lame } ], fromKg: 40, lot: Stores } ] }',
      ],
    ],
    [
      'p.yaml:5:3: sort-only needs exactly one lot without aside: it takes all that no rule names. Write aside: true on every other lot.',
      'p.yaml:5:43: sort-only knows no weight, so belowKg means nothing. Remove it, or write work: weigh-and-sort.',
      'p.yaml:6:43: sort-only knows no weight, so belowKg means nothing. Remove it, or write work: weigh-and-sort.',
      'p.yaml:11:7: sort-only knows no weight, so it knows no gain. Remove gain, or write work: weigh-and-sort.',
      'p.yaml:12:30: sort-only knows no weight, so a mark rule cannot name one. Remove fromKg and belowKg, or write work: weigh-and-sort.',
    ],
  ],
  [
    'slips of the grammar',
    [
      ['plan: 1', 'plan: 2'],
      ['belowKg: 40', 'belowKG: 40'],
      ['belowKg: 45', 'belowKg: 45.001'],
      ['capacity: 60', 'capacity: 0.5'],
      ['keep-back.csv', '../keep-back.csv'],
      ['confidence: 0.995', 'confidence: 99.5'],
    ],
    [
      'p.yaml:1:7: "plan" cannot be 2. Write 1.',
      'p.yaml:5:34: "belowKG" is not a setting here. Did you mean "belowKg"?',
      'p.yaml:6:43: "belowKg" must be in whole hundredths of a kg. Round it to 0.01.',
      'p.yaml:6:81: "capacity" is 0.5 head, out of range. Give 1 to 100000 head.',
      'p.yaml:6:81: "capacity" must be whole head. Round it.',
      'p.yaml:8:82: "confidence" is 99.5, out of range. Give 0.8 to 0.999999.',
      'p.yaml:10:26: "file" must be the plain name of a file. Write the name alone, e.g. keep-back.csv.',
    ],
  ],
];

describe('a plan is refused', () => {
  it.each(REFUSED)('for %s', (_, changes, messages) => {
    expect(errors(...changes)).toEqual(messages);
  });
});

describe('a plan is accepted', () => {
  it.each<[string, [string, string][]]>([
    ['with a leeway just narrower than a band', [['hysteresisKg: 0.3', 'hysteresisKg: 4.99']]],
    ['with confidence alone', [['settle: { withinKg: 0.5, forMs: 1000 }, ', '']]],
    ['with settle alone', [['confidence: 0.995, ', '']]],
    ['without tags', [['tags: {', '#']]],
    ['not sure to a lot that is not killed', [['unsure: hold', 'unsure: { lot: Stores }']]],
    [
      'not sure to slaughter where it says so',
      [
        ['unsure: hold', 'unsure: { lot: Fit }\nallowUnsureToSlaughter: true'],
        ['unread: hold', 'unread: { exit: right }'],
        ['whenFull: stop', 'whenFull: { overflow: Heavy }'],
      ],
    ],
    ['with two lots at one exit', [['exit: right', 'exit: ahead']]],
    ['with a list to slaughter', [['keep-back.csv, lot: Stores', 'keep-back.csv, lot: Fit']]],
    ['with overflow along a line', [['whenFull: stop', 'whenFull: { overflow: Stores }']]],
  ])('%s', (_, changes) => {
    expect(errors(...changes)).toEqual([]);
  });

  it('whatever its exits are called, where no gate is known', () => {
    const text = TEXT.replace('exit: right', 'exit: somewhere');
    expect(loadPlan(text, 'p.yaml', null).ok).toBe(true);
  });
});

describe('a plan as a value', () => {
  it('is checked as a file is', () => {
    expect(checkPlan(draft, GATE)).toEqual({ ok: true, plan: draft });
    expect(checkPlan({ plan: 1, ...draft }, GATE)).toEqual({ ok: true, plan: draft });
    const wrong = { ...draft, unsure: { lot: 'Fitt' } };
    expect(checkPlan(wrong, GATE)).toEqual({
      ok: false,
      problems: [
        {
          path: ['unsure', 'lot'],
          message: 'no lot is called Fitt',
          remedy: 'Did you mean "Fit"?',
        },
      ],
    });
    expect(checkPlan({ ...draft, lots: [{ name: 'A' }] }, GATE)).toMatchObject({
      ok: false,
      problems: [{ path: ['lots', 0, 'exit'], message: '"exit" is missing' }],
    });
    for (const value of [null, 3, 'plan', []]) expect(checkPlan(value, GATE).ok).toBe(false);
  });

  it('cannot bring facts of a session with it', () => {
    const medicine = { untaggedHeld: false, freeOn: null, colours: [] };
    expect(checkPlan({ ...draft, medicine }, GATE).ok).toBe(false);
  });

  it('written and read again is the same, and so is its version', () => {
    fc.assert(
      fc.property(anyDice, (dice) => {
        const plan = soundPlan(dice);
        if (plan === null) return;
        const medicine = { untaggedHeld: true, freeOn: null, colours: [] };
        const read = loadPlan(planText({ ...plan, medicine }), 'p.yaml', EXITS);
        const written = { ...plan };
        delete written.medicine;
        expect(read).toEqual({ ok: true, value: written });
        expect(planVersion(written)).toBe(planVersion({ ...plan, medicine }));
      }),
      { numRuns: 100 },
    );
  });

  it('has a version that follows its meaning, not its spelling', () => {
    const turned = Object.fromEntries(Object.entries(draft).reverse()) as unknown as Plan;
    expect(planVersion(draft)).toMatch(/^[0-9a-f]{64}$/);
    expect(planVersion(turned)).toBe(planVersion(draft));
    expect(planVersion({ ...draft, name: 'Other' })).not.toBe(planVersion(draft));
    const heavier = { ...draft, animals: { ...draft.animals, toKg: 66 } };
    expect(planVersion(heavier)).not.toBe(planVersion(draft));
    const [a, b, c] = draft.lots as [Plan['lots'][0], Plan['lots'][0], Plan['lots'][0]];
    expect(planVersion({ ...draft, lots: [b, a, c] })).not.toBe(planVersion(draft));
  });
});

describe('a new plan', () => {
  it('starts at stores below 40, fit 40 to 45, heavy from 45, for any gate', () => {
    for (const exits of [GATE, ['ahead', 'right', 'left'], ['a', 'b'], ['a', 'b', 'c', 'd', 'e']]) {
      const plan = newPlan(exits);
      expect(checkPlan(plan, exits)).toEqual({ ok: true, plan });
      expect(plan.lots.map(({ name, belowKg }) => [name, belowKg])).toEqual([
        ['Stores', 40],
        ['Fit', 45],
        ['Heavy', undefined],
      ]);
    }
    const exitsOf = (exits: string[]) => newPlan(exits).lots.map((lot) => lot.exit);
    expect(exitsOf(['ahead', 'right', 'left'])).toEqual(['left', 'ahead', 'right']);
    expect(exitsOf(['a', 'b'])).toEqual(['a', 'b', 'b']);
    expect(exitsOf(['d', 'c', 'b', 'a'])).toEqual(['d', 'c', 'b']);
  });
});

describe('the page about sort plans', () => {
  const page = readFileSync(join(import.meta.dirname, '../../docs/sortplan.md'), 'utf8');
  const blocks = [...page.matchAll(/```yaml\n([\s\S]*?)```/g)].map((match) => match[1] ?? '');

  it('shows plans that are accepted', () => {
    const [whole = '', marks = '', ofSite = ''] = blocks;
    expect(blocks).toHaveLength(3);
    expect(
      siteSchema.shape.markButtons.parse((parse(ofSite) as Record<string, unknown>)['markButtons']),
    ).not.toEqual({});
    expect(loadPlan(whole, 'page', GATE)).toEqual({ ok: true, value: draft });
    expect(loadPlan(`${whole}${marks}`, 'page', GATE).ok).toBe(true);
  });

  it('names every key of the grammar and quotes messages that are given', () => {
    const keys = [
      ...Object.keys(planSchema.shape),
      ...Object.keys(planSchema.shape.lots.unwrap().element.shape),
    ];
    expect(keys.length).toBeGreaterThan(20);
    for (const key of keys) expect(page).toContain(`\`${key}`);
    const said = REFUSED.flatMap(([, , messages]) =>
      messages.map((one) => one.replace(/^\S+ /, '')),
    );
    const table = page.slice(page.indexOf('| plan | what it says |')).split('\n\n')[0] ?? '';
    const rows = table.split('\n').slice(2);
    const quoted = rows.map((row) => row.split('|')[2] ?? '');
    expect(quoted.length).toBeGreaterThan(8);
    for (const one of quoted)
      expect(said.filter((message) => message.startsWith(one.trim())).length).not.toBe(0);
  });
});
