import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';

const css = readFileSync(new URL('../../src/web/style/look.css', import.meta.url), 'utf8');

/** The colours of one look, by name: night says only what differs from sun. */
function colours(selector: string): Record<string, string> {
  const block = css.slice(css.indexOf(`${selector} {`)).split('}')[0] ?? '';
  return Object.fromEntries(
    [...block.matchAll(/--([a-z-]+): (#[0-9a-f]{6});/g)].map((found) => [
      found[1] ?? '',
      found[2] ?? '',
    ]),
  );
}

/** Relative luminance of a colour, WCAG 2.2. */
function luminance(hex: string): number {
  const parts = [1, 3, 5].map((at) => {
    const share = parseInt(hex.slice(at, at + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  const [red = 0, green = 0, blue = 0] = parts;
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

function contrast(one: string, other: string): number {
  const [dark = 0, light = 0] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (light + 0.05) / (dark + 0.05);
}

const sun = colours(':root');
const night = { ...sun, ...colours(":root[data-look='night']") };

test('the formula gives what WCAG 2.2 says of black and white, and of #767676 on white', () => {
  expect(contrast('#000000', '#ffffff')).toBe(21);
  // Source: WCAG 2.2 technique G18 calls #767676 on white 4.54:1.
  expect(contrast('#767676', '#ffffff')).toBeCloseTo(4.54, 2);
});

describe.each([
  ['sun', sun],
  ['night', night],
])('in the look %s', (_look, look) => {
  test.each([
    ['ink', 'paper'],
    ['ink', 'ground'],
    ['soft', 'paper'],
    ['soft', 'ground'],
    ['accent', 'paper'],
    ['accent', 'ground'],
    ['accent-ink', 'accent'],
    ['bad', 'paper'],
    ['bad-ink', 'bad'],
    ['warn-ink', 'warn'],
    ['line', 'ground'],
  ])('%s on %s has 7:1 or more', (front, back) => {
    expect(contrast(look[front] ?? '', look[back] ?? '')).toBeGreaterThanOrEqual(7);
  });
});
