import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { between } from '../../src/config/values.ts';
import { formatError, loadYaml, MAX_CHARACTERS } from '../../src/config/yaml.ts';

const way = z.union([
  z.literal('hold'),
  z.strictObject({ exit: z.string() }),
  z.strictObject({ lot: z.string() }),
]);
const part = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('gpio'), line: z.number() }),
  z.strictObject({ kind: z.literal('modbus'), coil: z.number() }),
]);
const schema = z.strictObject({
  name: z.string().min(1),
  lots: z
    .array(z.strictObject({ name: z.string(), belowKg: between(1, 200, 'kg').optional() }))
    .min(1),
  decide: z
    .strictObject({ hysteresisKg: z.number(), mode: z.enum(['sure', 'settled']) })
    .optional(),
  unsure: way.optional(),
  on: z.boolean().optional(),
  part: part.optional(),
  table: z.record(z.string().regex(/^[a-z]+$/, 'bad name\nUse a to z'), z.number()).optional(),
  odd: z
    .number()
    .refine((n) => n % 2 === 1, '{} must be odd\nAdd one')
    .optional(),
});

function errors(text: string): string[] {
  const read = loadYaml(text, 'x.yaml', schema);
  return read.ok ? [] : read.errors.map(formatError);
}

const good = 'name: A\nlots:\n  - { name: Stores, belowKg: 40 }\n';

describe('a file that is as it should be', () => {
  it('gives its value and where each part of it stands', () => {
    const read = loadYaml(`# ours\n${good}`, 'x.yaml', schema);
    if (!read.ok) throw new Error(read.errors.map(formatError).join('\n'));
    expect(read.value).toEqual({ name: 'A', lots: [{ name: 'Stores', belowKg: 40 }] });
    expect(read.source.error(['lots', 0, 'belowKg'], 'too low', 'Raise it')).toEqual({
      file: 'x.yaml',
      line: 4,
      column: 30,
      message: 'too low',
      remedy: 'Raise it',
    });
    expect(read.source.keyError(['lots', 0, 'belowKg'], 'm', 'r')).toMatchObject({
      line: 4,
      column: 21,
    });
    expect(read.source.error(['lots', 0, 'exit'], 'm', 'r')).toMatchObject({ line: 4, column: 5 });
    expect(read.source.error(['unsure'], 'm', 'r')).toMatchObject({ line: 2, column: 1 });
  });
});

/** Each row: what is wrong, the text, and the whole error. */
const table: [string, string, string[]][] = [
  [
    'an unknown setting, with the nearest name',
    `${good}unsur: hold\n`,
    ['x.yaml:4:1: "unsur" is not a setting here. Did you mean "unsure"?'],
  ],
  [
    'an unknown setting that is near none',
    'name: A\nlots: [{ name: S, wibble: 1 }]\n',
    ['x.yaml:2:19: "wibble" is not a setting here. Known here: name, belowKg.'],
  ],
  [
    'two unknown settings, each at its place',
    `${good}unsur: hold\nlotz: 1\n`,
    [
      'x.yaml:4:1: "unsur" is not a setting here. Did you mean "unsure"?',
      'x.yaml:5:1: "lotz" is not a setting here. Did you mean "lots"?',
    ],
  ],
  [
    'a missing setting, at the setting that lacks it',
    `${good}decide:\n  mode: sure\n`,
    ['x.yaml:4:1: "hysteresisKg" is missing. Add "hysteresisKg:" with a number.'],
  ],
  [
    'a missing setting of a list entry',
    'name: A\nlots:\n  - belowKg: 40\n',
    ['x.yaml:3:5: "name" is missing. Add "name:" with a text.'],
  ],
  [
    'a missing setting of the file itself',
    'lots: [{ name: S }]\n',
    ['x.yaml:1:1: "name" is missing. Add "name:" with a text.'],
  ],
  [
    'a value that is none of the names',
    `${good}decide: { hysteresisKg: 0.3, mode: setled }\n`,
    ['x.yaml:4:36: "mode" cannot be "setled". Did you mean "settled"?'],
  ],
  [
    'a value near none of the names',
    `${good}decide: { hysteresisKg: 0.3, mode: quick }\n`,
    ['x.yaml:4:36: "mode" cannot be "quick". Write one of: sure, settled.'],
  ],
  [
    'a number with its unit',
    'name: A\nlots: [{ name: S, belowKg: 40 kg }]\n',
    ['x.yaml:2:28: "belowKg" must be a number, not "40 kg". Write the number alone: 40.'],
  ],
  [
    'a number out of range',
    'name: A\nlots: [{ name: S, belowKg: 400 }]\n',
    ['x.yaml:2:28: "belowKg" is 400 kg, out of range. Give 1 to 200 kg.'],
  ],
  [
    'a setting with nothing after it',
    'name:\nlots: [{ name: S }]\n',
    ['x.yaml:1:6: "name" has no value. Give one or remove the line.'],
  ],
  [
    'a number where a text belongs',
    'name: 12\nlots: [{ name: S }]\n',
    ['x.yaml:1:7: "name" must be a text, not 12. Put it in quotes: "12".'],
  ],
  [
    'a word that other programs take for true',
    `${good}on: yes\n`,
    ['x.yaml:4:5: "on" must be true or false, not "yes". Write true or false.'],
  ],
  [
    'an empty list',
    'name: A\nlots: []\n',
    ['x.yaml:2:7: "lots" must have at least 1 entry. Give it at least 1 entry.'],
  ],
  [
    'a mis-spelt word of a choice',
    `${good}unsure: hodl\n`,
    ['x.yaml:4:9: "unsure" cannot be "hodl". Did you mean "hold"?'],
  ],
  [
    'a mis-spelt key of a choice',
    `${good}unsure: { exot: left }\n`,
    ['x.yaml:4:11: "exot" is not a setting here. Did you mean "exit"?'],
  ],
  [
    'a kind that does not exist',
    `${good}part: { kind: modbos, coil: 1 }\n`,
    ['x.yaml:4:15: "kind" cannot be "modbos". Did you mean "modbus"?'],
  ],
  [
    'a kind that is missing',
    `${good}part: { coil: 1 }\n`,
    ['x.yaml:4:1: "kind" is missing. Write one of: gpio, modbus.'],
  ],
  [
    'a name that is not allowed',
    `${good}table: { a: 1, B2: 2 }\n`,
    ['x.yaml:4:16: bad name. Use a to z.'],
  ],
  ['a rule of the schema itself', `${good}odd: 2\n`, ['x.yaml:4:6: "odd" must be odd. Add one.']],
  [
    'a setting given twice',
    `${good}name: B\n`,
    ['x.yaml:4:1: this setting stands twice. Keep one of the two.'],
  ],
  [
    'a tab',
    'name: A\nlots:\n\t- { name: S }\n',
    ['x.yaml:3:1: a tab is used to indent. Indent with spaces.'],
  ],
  [
    'an empty file',
    '# nothing\n',
    ['x.yaml:1:1: the file is empty. Write its settings or put the shipped one back.'],
  ],
  [
    'a list instead of settings',
    '- 1\n',
    [
      'x.yaml:1:1: the file must be a mapping of settings, not a list. Write a mapping of settings.',
    ],
  ],
  [
    'an alias',
    'name: &n A\nlots: [{ name: *n }]\n',
    ['x.yaml:2:16: an alias (*n) is not allowed. Write the value out.'],
  ],
  [
    'a tag',
    'name: !!str 12\nlots: [{ name: S }]\n',
    ['x.yaml:1:13: a tag (tag:yaml.org,2002:str) is not allowed. Remove it.'],
  ],
  [
    'an older YAML',
    `%YAML 1.1\n---\n${good}`,
    ['x.yaml:1:1: only YAML 1.2 is read. Remove the %YAML line.'],
  ],
  [
    'two documents',
    `${good}---\n${good}`,
    ['x.yaml:4:1: a second document begins here. Remove the line ---.'],
  ],
  [
    'a file far too long',
    `# ${'x'.repeat(MAX_CHARACTERS)}`,
    ['x.yaml:1:1: the file is longer than 262144 characters. Check that it is the right file.'],
  ],
];

describe('a file with something wrong in it', () => {
  it.each(table)('%s', (_, text, expected) => {
    expect(errors(text)).toEqual(expected);
  });

  it('is told of everything at once, in the order of the file', () => {
    expect(errors('name: 1\nlots: []\nunsur: hold\n').map((line) => line.split(' ')[0])).toEqual([
      'x.yaml:1:7:',
      'x.yaml:2:7:',
      'x.yaml:3:1:',
    ]);
  });

  it('that nests without end is an error, not a crash', () => {
    const found = errors('['.repeat(200_000)).length;
    expect(found).toBeGreaterThan(0);
    expect(found).toBeLessThanOrEqual(10);
  });

  it('that would grow a billion times is refused', () => {
    const bomb = [
      'a: &a [x,x,x]',
      ...'bcdefgh'.split('').map((c, i) => `${c}: &${c} [${`*${'abcdefg'[i]},`.repeat(9)}]`),
    ];
    expect(errors(bomb.join('\n')).every((line) => line.includes('alias'))).toBe(true);
  });
});

describe('any text at all', () => {
  const yamlish = fc
    .array(
      fc.oneof(
        fc.constantFrom(
          'name',
          'lots',
          ':',
          ': ',
          '- ',
          '\n',
          '\n  ',
          '{',
          '}',
          '[',
          ']',
          ',',
          '"',
          "'",
          '#',
          '&a',
          '*a',
          '!!x',
          '|',
          '>',
          '?',
          '---',
          '\t',
          '\r\n',
          '1',
          'null',
          '.nan',
          '~',
          '__proto__',
          'constructor',
        ),
        fc.string({ maxLength: 4, unit: 'binary' }),
      ),
      { maxLength: 40 },
    )
    .map((parts) => parts.join(''));

  it('gives a value or errors with positions inside it, never an exception', () => {
    fc.assert(
      fc.property(
        fc.oneof(
          yamlish,
          fc.string({ unit: 'binary' }),
          yamlish.map((t) => good + t),
        ),
        (text) => {
          const read = loadYaml(text, 'x.yaml', schema);
          if (read.ok) return;
          expect(read.errors.length).toBeGreaterThan(0);
          const lines = text.split('\n');
          for (const error of read.errors) {
            expect(error.line).toBeGreaterThanOrEqual(1);
            expect(error.line).toBeLessThanOrEqual(lines.length);
            expect(error.column).toBeGreaterThanOrEqual(1);
            expect(error.column).toBeLessThanOrEqual((lines[error.line - 1] ?? '').length + 1);
            expect(error.message).not.toBe('');
          }
        },
      ),
      { numRuns: 3000 },
    );
  });
});
