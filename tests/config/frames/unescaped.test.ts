import { expect, test } from 'vitest';
import { unescaped } from '../../../src/config/frames/unescaped.ts';

test.each([
  ['W\\r\\n', 'W\r\n'],
  ['\\x05', '\x05'],
  ['\\x02A\\x03\\xfF', '\x02A\x03\xff'],
  ['a\\tb\\\\r', 'a\tb\\r'],
  ['\\x5 \\q plain', '\\x5 \\q plain'],
])('%j is sent as %j', (typed, sent) => {
  expect(unescaped(typed)).toBe(sent);
});
