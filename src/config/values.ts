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

/** What people call a profile. */
export const title = z.string().min(1).max(80).describe('What people call it');

export const about = z.string().max(2000).describe('For people: what it is for, how to wire it');
