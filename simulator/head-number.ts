/** How an invented weigh head writes its number and its unit. */
import { oneOf, pick } from './pick.ts';
import type { Random } from './random.ts';

export type HeadUnit = 'kg' | 'lb' | 'g';
export type HeadPoint = '.' | ',' | 'implied';

export interface NumberStyle {
  decimals: number;
  /** Smallest step, in units of the last digit. */
  step: number;
  point: HeadPoint;
  /** Always the same width. */
  fixed: boolean;
  /** The text of a number that is given in units of its last digit. */
  write: (digits: number) => string;
}

export function chooseNumber(random: Random): NumberStyle {
  const [decimals, step] = pick(random, [
    [12, [2, 5]],
    [10, [2, 10]],
    [42, [1, 1]],
    [16, [1, 2]],
    [14, [1, 5]],
    [6, [0, 1]],
  ] as const);
  const points = [
    [82, '.'],
    [8, ','],
    [10, 'implied'],
  ] as const;
  const point = decimals === 0 ? '.' : pick(random, points);
  const padding = pick(random, [
    [52, 'blanks'],
    [26, 'noughts'],
    [12, 'none'],
    [10, 'left'],
  ] as const);
  const sign = pick(random, [
    [45, 'floating'],
    [35, 'always'],
    [20, 'column'],
  ] as const);
  const width = 5 + Math.floor(random.even() * 5);
  const write = (digits: number): string => {
    const plain = digitsOf(digits, decimals, point, padding === 'noughts' ? width : 0);
    return padded(plain, digits < 0, padding, sign, width);
  };
  return { decimals, step, point, fixed: padding !== 'none', write };
}

function digitsOf(value: number, decimals: number, point: HeadPoint, width: number): string {
  const all = String(Math.abs(value)).padStart(decimals + 1, '0');
  if (point === 'implied' || decimals === 0) return all.padStart(width, '0');
  const cut = all.length - decimals;
  return `${all.slice(0, cut)}${point}${all.slice(cut)}`.padStart(width, '0');
}

type Padding = 'blanks' | 'noughts' | 'none' | 'left';
type Sign = 'floating' | 'always' | 'column';

function padded(
  plain: string,
  minus: boolean,
  padding: Padding,
  sign: Sign,
  width: number,
): string {
  const mark = minus ? '-' : sign === 'always' ? '+' : '';
  if (padding === 'none') return mark + plain;
  if (padding === 'left') return (mark + plain).padEnd(width + 1, ' ');
  if (sign === 'floating' && padding === 'blanks') return (mark + plain).padStart(width + 1, ' ');
  return (mark === '' ? ' ' : mark) + plain.padStart(width, ' ');
}

export interface UnitStyle {
  unit: HeadUnit;
  /** As it stands in the frame; empty where it names none. */
  text: string;
}

export function chooseUnit(random: Random, number: NumberStyle): UnitStyle {
  // A head that names no unit is set to kilograms: nothing on the line could tell it otherwise.
  if (random.chance(0.28)) return { unit: 'kg', text: '' };
  const blank = random.chance(0.35) ? ' ' : '';
  const unit = pick(random, [
    [80, 'kg'],
    [18, 'lb'],
    [2, 'g'],
  ] as const);
  if (unit === 'lb') return { unit, text: blank + oneOf(random, ['lb', 'LB', 'lbs']) };
  if (unit === 'g' && number.decimals === 0) return { unit, text: `${blank}g` };
  return { unit: 'kg', text: blank + oneOf(random, ['kg', 'kg', 'KG', 'Kg']) };
}
