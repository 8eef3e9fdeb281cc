import { expect, test } from 'vitest';
import { frameProfile } from '../../../src/config/frames/schema.ts';
import { formatError, loadYaml } from '../../../src/config/yaml.ts';

const SCALE = `kind: scale
name: of a test
about: none
serial: { baud: 9600 }
frame: { end: "\\r" }
body: { columns: { state: 1, weight: 2-9 } }
words: { state: { S: steady } }
weight: { unit: kg }
samples: [ { bytes: "S    41.5\\r", reads: { kg: 41.5, motion: false } } ]
bad: [ "x\\r" ]
`;

const READER = `kind: reader
name: of a test
about: none
serial: { baud: 9600 }
frame: { end: "\\r" }
body: { columns: { tag: 1-15 } }
samples: [ { bytes: "999000000001337\\r", reads: { tag: "999000000001337", test: true } } ]
bad: [ "x\\r" ]
`;

function errors(text: string): string {
  const read = loadYaml(text, 'p.yaml', frameProfile);
  return read.ok ? '' : read.errors.map(formatError).join('\n');
}

test('the two profiles that the cases change are right', () => {
  expect(errors(SCALE)).toBe('');
  expect(errors(READER)).toBe('');
});

test.each([
  ['end: "\\r"', 'length: 9', 'only the length closes the frame and no check sum proves it'],
  ['end: "\\r"', 'end: "\\r", length: 65', 'is more than maxBytes (64). Raise "maxBytes:"'],
  ['end: "\\r"', 'end: "\\r", length: 8', 'is not the width of the columns (9)'],
  ['end: "\\r"', 'end: ""', 'must have 1 to 8 bytes'],
  ['end: "\\r"', 'end: { hex: "0" }', 'must be pairs of hex digits'],
  ['end: "\\r"', 'end: "→"', 'has a character that is no byte'],
  ['state: 1', 'state: 1-2', '"weight" begins at column 2, the one before ends at 2'],
  ['weight: 2-9', 'weight: 3-9', '"weight" begins at column 3, the one before ends at 1'],
  ['weight: 2-9', 'weight: 2-1', '"weight" is turned round'],
  ['weight: 2-9', 'weight: 2 to 9', 'is no range of columns'],
  ['weight: 2-9', 'load: 2-9', 'no field is named weight'],
  ['columns: { state: 1, weight: 2-9 }', 'pattern: "x", columns: { weight: 1 }', 'not both'],
  ['columns: { state: 1, weight: 2-9 }', 'pattern: "(?<weight>a+a)"', 'two ways to read "a"'],
  ['words: { state: { S: steady } }', 'words: {}', 'what the field "state" means'],
  ['{ S: steady } }', '{ S: stead } }', 'Did you mean "steady"?'],
  ['{ S: steady } }', '{ S: steady }, more: any }', '"more" is no field of the body'],
  ['weight: { unit: kg }', '', 'nothing says the unit'],
  ['{ unit: kg }', '{ unit: kg, point: implied }', 'an implied point needs its place'],
  ['weight: { unit', 'checksum: { kind: crc }\nweight: { unit', '"crc:" belongs to kind crc'],
  [
    'weight: { unit',
    'checksum: { kind: xor, withEnd: true }\nweight: { unit',
    '"withEnd" needs place: after-end',
  ],
  [
    'end: "\\r" }',
    'end: ["\\r", "\\n"] }\nchecksum: { kind: xor, place: after-end }',
    'after-end needs one end',
  ],
  ['baud: 9600', 'baud: 50', '"baud" is 50 bits a second, out of range'],
])('weigh head: %s -> %s', (from, to, words) => {
  expect(SCALE).toContain(from);
  expect(errors(SCALE.replace(from, to))).toContain(words);
});

test.each([
  ['tag: 1-15', 'number: 1-12', 'one field must hold the number'],
  ['tag: 1-15', 'tag: 1-15, hex: 16-31', 'one field must hold the number'],
  ['serial:', 'weight: { unit: kg }\nserial:', '"weight" is not a setting here'],
  ['"999000000001337", test', '"1337", test', 'must be 15 digits'],
])('reader: %s -> %s', (from, to, words) => {
  expect(READER).toContain(from);
  expect(errors(READER.replace(from, to))).toContain(words);
});
