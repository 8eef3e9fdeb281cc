import { z } from 'zod';
import { MARKS, MOST_MARKS } from '../core/sortplan/marks.ts';
import { between, milliseconds } from './values.ts';

/** Weights of animals in a race: a bound against slips of the finger, not against large breeds. */
const kg = between(0, 1000, 'kg').refine((value) => isHundredths(value), {
  error: '{} must be in whole hundredths of a kg\nRound it to 0.01',
});

function isHundredths(value: number): boolean {
  return Math.abs(value * 100 - Math.round(value * 100)) < 1e-6;
}

/** A name that people read: of a plan, a lot, a mob, a colour. */
const words = z
  .string()
  .regex(
    /^(?! )[\p{L}\p{N} '().,/+-]{1,40}(?<! )$/u,
    "{} is no name for use here\nUse up to 40 letters, digits, spaces and ' ( ) . , / + -",
  );

const exit = z.string().min(1).max(40);
const toExit = z.strictObject({ exit });
const toLot = z.strictObject({ lot: words });
const way = z.union([z.literal('hold'), toExit, toLot]);

const lot = z.strictObject({
  name: words,
  exit,
  belowKg: kg.exactOptional(),
  forSlaughter: z.boolean().exactOptional(),
  capacity: between(1, 100_000, 'head').int('{} must be whole head\nRound it').exactOptional(),
  whenFull: z.union([z.literal('stop'), z.strictObject({ overflow: words })]).exactOptional(),
  aside: z.boolean().exactOptional(),
  splitWith: z.array(words).min(1).max(4).exactOptional(),
  mark: words.exactOptional(),
  killOn: z
    .string()
    .regex(/^\d{4}-\d{2}-\d{2}$/, '{} is no day\nWrite it as year-month-day, e.g. 2026-09-14')
    .exactOptional(),
});

const decide = z.strictObject({
  hysteresisKg: between(0, 20, 'kg').refine((value) => isHundredths(value), {
    error: '{} must be in whole hundredths of a kg\nRound it to 0.01',
  }),
  settle: z
    .strictObject({ withinKg: between(0.02, 20, 'kg'), forMs: milliseconds(200, 20_000) })
    .exactOptional(),
  confidence: between(0.8, 0.999999, '').exactOptional(),
  callAfterMs: milliseconds(500, 120_000),
});

const file = z
  .string()
  .regex(
    /^[\p{L}\p{N}][\p{L}\p{N} ._-]{0,79}$/u,
    '{} must be the plain name of a file\nWrite the name alone, e.g. keep-back.csv',
  );

const tags = z.strictObject({
  lists: z.array(z.strictObject({ file, lot: words })).max(20),
  withdrawal: z.union([toExit, toLot]),
  unread: way,
});

const grams = between(-2000, 3000, 'g a day');

const gain = z.strictObject({
  leastDays: between(1, 365, 'days').int('{} must be whole days\nRound it'),
  rules: z
    .array(
      z.strictObject({
        belowGramsPerDay: grams.exactOptional(),
        fromGramsPerDay: grams.exactOptional(),
        lot: words,
      }),
    )
    .min(1)
    .max(10),
});

const markName = z.enum(Object.keys(MARKS) as [string, ...string[]]);

const marks = z.strictObject({
  offer: z.array(markName).max(MOST_MARKS),
  rules: z
    .array(
      z.strictObject({
        when: z
          .array(
            z.strictObject({
              mark: z.union([markName, z.literal('colour')]),
              is: z.union([z.string(), z.number(), z.boolean()]).exactOptional(),
              from: z.number().exactOptional(),
              to: z.number().exactOptional(),
            }),
          )
          .min(1)
          .max(MOST_MARKS),
        fromKg: kg.exactOptional(),
        belowKg: kg.exactOptional(),
        lot: words,
      }),
    )
    .max(20),
});

/** The grammar of a sort plan file; what it means together is checked by `planProblems`. */
export const planSchema = z.strictObject({
  plan: z.literal(1),
  name: words,
  work: z.enum(['weigh-and-sort', 'weigh-only', 'sort-only', 'count-only']).exactOptional(),
  mob: words.exactOptional(),
  animals: z.strictObject({ fromKg: kg, toKg: kg }),
  lots: z.array(lot).max(5).default([]),
  decide,
  unsure: way,
  tags: tags.exactOptional(),
  gain: gain.exactOptional(),
  marks: marks.exactOptional(),
  allowUnsureToSlaughter: z.boolean().exactOptional(),
});
