/** What the page's HTTP interface takes and gives; the OpenAPI document is made from these. */
import { z } from 'zod';

const exitName = z.string().min(1).max(40);
const animalNumber = z.int().min(0);

/** Commands that a signed-in person may give; stop has its own door, which takes no PIN. */
export const commandBody = z.discriminatedUnion('do', [
  z.strictObject({ do: z.literal('start') }),
  z.strictObject({ do: z.literal('pause') }),
  z.strictObject({ do: z.literal('clear') }),
  z.strictObject({
    do: z.literal('exit'),
    exit: exitName,
    animal: animalNumber.exactOptional(),
  }),
  z.strictObject({ do: z.literal('confirm'), what: z.enum(['lane', 'crate']).exactOptional() }),
  z.strictObject({ do: z.literal('zero') }),
  z.strictObject({
    do: z.literal('mark'),
    mark: z.strictObject({
      name: z.string().min(1).max(40),
      value: z.union([z.string().max(40), z.number(), z.boolean()]),
    }),
    /** Bound to the animal that the person saw: it never marks the next one. */
    animal: animalNumber,
  }),
  z.strictObject({
    do: z.literal('answer'),
    answer: z.string().min(1).max(60),
    lot: z.string().min(1).max(60).exactOptional(),
  }),
]);

export const pinBody = z.strictObject({ pin: z.string().regex(/^\d{4,12}$/) });
export const deviceBody = z.strictObject({ device: z.int().min(1) });
/** Devices that are signed in. */
export const devices = z.array(
  z.object({
    device: z.int(),
    role: z.enum(['operator', 'installer']),
    until: z.string(),
    /** Its page is open now. */
    looking: z.boolean(),
    /** It is the one that asks. */
    me: z.boolean(),
  }),
);
export type Devices = z.infer<typeof devices>;
export const controlBody = z.strictObject({ take: z.boolean() });
export const emptyBody = z.strictObject({}).nullish();

/** Hold-to-run: a new press, or the renewal of one with the nonce that was answered last. */
export const holdBody = z.union([
  z.strictObject({ output: z.string().min(1).max(60) }),
  z.strictObject({ press: z.int(), nonce: z.string().min(1).max(40) }),
]);
export const held = z.object({ press: z.int(), nonce: z.string() });
export type Held = z.infer<typeof held>;

/** Why a request was not done, as a code that the page has words for. */
export const refusal = z.object({
  error: z.enum([
    'bad-request',
    'sign-in-first',
    'installer-only',
    'wrong-pin',
    'wait',
    'held-by-other',
    'refused',
    'no-answer',
    'not-here',
    'not-found',
    'too-many',
    'failed',
  ]),
  reason: z.string(),
  /** With `wait`: whole seconds until the next try counts. */
  waitS: z.int().optional(),
  /** With `held-by-other`: the device that holds manual control. */
  device: z.int().optional(),
});
export type Refusal = z.infer<typeof refusal>;
export type RefusalCode = Refusal['error'];

export const done = z.object({ ok: z.literal(true) });
export const signedIn = z.object({
  role: z.enum(['operator', 'installer']).nullable(),
  /** Number of this device among those signed in; null when it is not. */
  device: z.int().nullable(),
  /** When its sign-in ends, `hh:mm` by the clock of the site. */
  until: z.string().nullable(),
});
export type SignedIn = z.infer<typeof signedIn>;

/** Every way a request can end that is not as asked. */
export const refusals = { '4xx': refusal, '5xx': refusal } as const;

/** A QR code as the page draws it: `size` modules a side, the dark ones as an SVG path. */
export interface Qr {
  /** What it holds. */
  text: string;
  size: number;
  path: string;
}

/** The code that leads to one farm's sheet of one day, good for so many hours. */
export type SharedSheet = Qr & { day: string; hours: number };
