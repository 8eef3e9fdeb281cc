import { z } from 'zod';
import { between, milliseconds } from '../values.ts';
import { checkFrame } from './consistent.ts';
import { MOST_MARK_BYTES } from './framer.ts';

/** Characters of which each is one byte. */
const latin1 = z
  .string()
  .regex(/^[\x00-\xff]*$/, '{} has a character that is no byte\nWrite bytes as "\\xNN"');

const bytes = z
  .union([
    latin1,
    z
      .strictObject({
        hex: z
          .string()
          .regex(
            /^\s*(?:[0-9A-Fa-f]{2}\s*)+$/,
            '{} must be pairs of hex digits\nWrite such as "0A 57 0D"',
          ),
      })
      .transform(({ hex }) => Buffer.from(hex.replace(/\s+/g, ''), 'hex').toString('latin1')),
  ])
  .describe('Bytes: a text with "\\r", "\\x02" and the like, or { hex: "0A 57 0D" }');

const short = bytes.refine(
  (text) => text.length > 0 && text.length <= MOST_MARK_BYTES,
  `{} must have 1 to ${MOST_MARK_BYTES} bytes\nShorten it`,
);

const about = z.string().max(2000).describe('For people: what it is for, how to set the device');

const serial = z
  .strictObject({
    baud: between(110, 921_600, 'bits a second').int(),
    framing: z
      // Without quotes YAML reads 7E1 as the number 70.
      .string({ error: '{} must stand in quotes\nWrite "7E1" or "8N1" with the quotes' })
      .regex(/^[5678][NEO][12]$/, '{} is no framing\nWrite data bits, parity, stop bits: 8N1')
      .default('8N1'),
  })
  .describe('How the port is opened');

const ask = z
  .strictObject({
    send: bytes.describe('Sent to ask for one frame'),
    everyMs: milliseconds(20, 60_000).describe('From one question to the next'),
    timeoutMs: milliseconds(20, 10_000).describe('No whole frame so long after asking: ask again'),
    retries: between(0, 20, '')
      .int()
      .describe('Questions without an answer before the port is opened anew'),
  })
  .describe('Ask and answer; without it the device speaks by itself');

const frame = z
  .strictObject({
    start: short.optional().describe('Bytes that open a frame'),
    end: z
      .union([short, z.array(short).min(1).max(4)])
      .optional()
      .describe('Bytes that close a frame, or a list of which any one does'),
    length: z
      .union([between(1, 256, 'bytes').int(), z.literal('same')])
      .optional()
      .describe('Bytes between start and end; "same": as many as the last two frames that agreed'),
    maxBytes: between(1, 256, 'bytes').int().default(64).describe('The longest body'),
    first: z
      .enum(['drop', 'keep'])
      .default('drop')
      .describe(
        'The first frame after opening; keep only where the tail of a frame cannot look like a whole one',
      ),
  })
  .describe('How a frame begins and ends');

const fieldName = z
  .string()
  .regex(/^[A-Za-z][A-Za-z0-9]{0,19}$/, '{} is no name of a field\nUse letters and digits');

const body = z
  .strictObject({
    columns: z
      .record(
        fieldName,
        z.union([
          between(1, 256, '').int(),
          z
            .string()
            .regex(
              /^\d{1,3}-\d{1,3}$/,
              '{} is no range of columns\nWrite the first and last: 6-15',
            ),
        ]),
      )
      .optional()
      .describe('Where each field stands; the first byte after the start is column 1'),
    pattern: z
      .string()
      .min(1)
      .max(500)
      .optional()
      .describe('A regular expression with a named group for each field, for the whole body'),
  })
  .describe('The fields: by columns or by a pattern');

const SCALE_MARKS = [
  'none',
  'steady',
  'motion',
  'zero',
  'over',
  'under',
  'error',
  'gross',
  'net',
  'plus',
  'minus',
  'kg',
  'lb',
  'g',
  't',
  'ignore',
] as const;
export type ScaleMark = (typeof SCALE_MARKS)[number];

const READER_MARKS = ['none', 'animal', 'notAnimal', 'ignore'] as const;
export type ReaderMark = (typeof READER_MARKS)[number];

const words = <T extends string>(marks: readonly [T, ...T[]]) =>
  z
    .record(
      fieldName,
      z.union([
        z.literal('any'),
        z.record(latin1, z.union([z.enum(marks), z.array(z.enum(marks)).max(4)])),
      ]),
    )
    .default({})
    .describe('What each text of a field means; "any": the field is not looked at');

const bits = z
  .record(
    fieldName,
    z.partialRecord(
      z.enum(['motion', 'zero', 'over', 'under', 'error', 'net', 'minus']),
      between(0, 3, '').int(),
    ),
  )
  .default({})
  .describe('Status characters 0x30 to 0x3F: which of the low four bits means what when set');

const crcParameters = z.strictObject({
  width: z.union([z.literal(8), z.literal(16), z.literal(24), z.literal(32)]),
  poly: between(1, 0xffffffff, '').int(),
  init: between(0, 0xffffffff, '').int(),
  reflected: z.boolean(),
  xorOut: between(0, 0xffffffff, '').int(),
});

const checksum = z
  .strictObject({
    kind: z.enum(['sum8', 'sum16', 'xor', 'lrc', 'crc']),
    crc: z.union([z.enum(['kermit', 'modbus']), crcParameters]).optional(),
    place: z.enum(['last', 'after-end']).default('last').describe('Before or after the end'),
    form: z.enum(['raw', 'hex']).default('raw'),
    lowFirst: z.boolean().default(false).describe('The low byte is sent first'),
    withStart: z.boolean().default(false).describe('The start counts too'),
    withEnd: z.boolean().default(false).describe('The end counts too (only after the end)'),
  })
  .describe('A check sum over the body, itself left out');

const weight = z
  .strictObject({
    unit: z.enum(['kg', 'lb', 'g', 't']).optional().describe('Where the frame names none'),
    point: z.enum(['given', 'implied']).default('given'),
    decimals: between(0, 6, '').int().optional().describe('Digits after the point'),
    pointSign: z.enum(['.', ',']).default('.'),
  })
  .prefault({})
  .describe('How the number is written');

const scaleReads = z.strictObject({
  kg: z.number().nullable(),
  motion: z.boolean().exactOptional(),
  status: z.enum(['over', 'under', 'error']).exactOptional(),
  net: z.boolean().exactOptional(),
  zero: z.boolean().exactOptional(),
});

const tagReads = z.strictObject({
  tag: z.string().regex(/^\d{15}$/, '{} must be 15 digits\nWrite the code and the number'),
  animal: z.boolean().exactOptional(),
  test: z.literal(true).exactOptional(),
});

const samples = <S extends z.ZodType>(reads: S) =>
  z
    .array(z.strictObject({ bytes, reads: z.union([reads, z.literal('nothing')]) }))
    .min(1)
    .describe('Whole frames, with their start and end, and what each must give');

const bad = z.array(bytes).min(1).describe('Frames that must give nothing');

const common = {
  name: z.string().min(1).max(80),
  about,
  serial,
  begin: bytes.optional().describe('Sent once when the port has been opened'),
  frame,
  body,
  bits,
  checksum: checksum.optional(),
  bad,
};

export const scaleProfile = z
  .strictObject({
    kind: z.literal('scale'),
    ...common,
    silenceMs: milliseconds(100, 60_000)
      .default(1000)
      .describe('No whole frame for so long: the link is down'),
    ask: ask.optional(),
    words: words(SCALE_MARKS),
    weight,
    samples: samples(scaleReads),
  })
  .superRefine(checkFrame);

export const readerProfile = z
  .strictObject({
    kind: z.literal('reader'),
    ...common,
    words: words(READER_MARKS),
    repeatMs: milliseconds(0, 60_000)
      .default(1000)
      .describe('The same tag again so soon is the same reading'),
    samples: samples(tagReads),
  })
  .superRefine(checkFrame);

/** A profile of either kind, told apart by `kind`. */
export const frameProfile = z.discriminatedUnion('kind', [scaleProfile, readerProfile]);

export type ScaleProfile = z.output<typeof scaleProfile>;
export type ReaderProfile = z.output<typeof readerProfile>;
export type FrameProfile = ScaleProfile | ReaderProfile;

/** The JSON Schema that editors check profiles with while they are written. */
export function frameJsonSchema(): object {
  return z.toJSONSchema(frameProfile, { io: 'input', target: 'draft-7' });
}
