import { z } from 'zod';

/**
 * A number within a range; the message names range and unit. Put `.int()` after it for whole
 * numbers.
 */
export function between(least: number, most: number, unit: string): z.ZodNumber {
  const range = `${least} to ${most}${unit === '' ? '' : ` ${unit}`}`;
  const outside = (issue: { input?: unknown }): string =>
    `{} is ${String(issue.input)}${unit === '' ? '' : ` ${unit}`}, out of range\nGive ${range}`;
  return z.number().min(least, { error: outside }).max(most, { error: outside }).describe(range);
}

/** Whole milliseconds within a range. */
export function milliseconds(least: number, most: number): z.ZodNumber {
  return between(least, most, 'ms').int('{} must be whole milliseconds\nRound it');
}

/** A name in a data file: letters, digits, dots and dashes, at most 40 of them. */
export const name = z
  .string()
  .regex(
    /^[A-Za-z][A-Za-z0-9.-]{0,39}$/,
    '{} is no name for use here\nUse letters, digits, dots and dashes, a letter first, at most 40 of them',
  );
