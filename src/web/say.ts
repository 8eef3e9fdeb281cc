/** Figures and names as people read them. */
import type { Layout } from '../adapters/page/messages.ts';
import { words } from './words/en.ts';

/** Decimals that the weigh head's division has: 1 for 0.1 kg, 2 for 0.05. */
export function decimals(divisionKg: number): number {
  if (divisionKg >= 1) return 0;
  return divisionKg * 10 === Math.round(divisionKg * 10) ? 1 : 2;
}

/** A weight rounded to the division, so that no figure shows more than was weighed. */
export function kgText(kg: number, divisionKg: number): string {
  const rounded = Math.round(kg / divisionKg) * divisionKg;
  return (rounded === 0 ? 0 : rounded).toFixed(decimals(divisionKg));
}

/** The yard's word for an exit; one of a gate with more than three keeps its own name. */
export function exitName(exit: string): string {
  if (exit === 'left' || exit === 'ahead' || exit === 'right') return words.exits[exit];
  return exit;
}

/** The exit with the yard's own word for it: `Left, road side`. */
export function exitSaid(layout: Layout | null, exit: string): string {
  const said = layout?.exits.find((one) => one.exit === exit)?.said;
  return said === undefined ? exitName(exit) : `${exitName(exit)}, ${said}`;
}

/** What a lot takes, in words; a lot aside of the weights takes none by weight. */
export function lotRange(layout: Layout, at: number): string {
  const lot = layout.lots[at];
  if (lot === undefined || lot.aside) return '';
  const lighter = layout.lots.slice(0, at).filter(({ aside }) => !aside);
  const from = lighter.at(-1)?.belowKg ?? null;
  const said = (kg: number): string => kgText(kg, layout.divisionKg);
  if (lot.belowKg === null) return from === null ? words.anyWeight : words.andOver(said(from));
  return from === null ? words.under(said(lot.belowKg)) : `${said(from)}–${said(lot.belowKg)}`;
}

/** How long ago: seconds with a decimal at first, then whole minutes and hours. */
export function ago(ms: number): string {
  if (ms < 9950) return words.ago.seconds((ms / 1000).toFixed(1));
  if (ms < 120_000) return words.ago.seconds(String(Math.round(ms / 1000)));
  if (ms < 7_200_000) return words.ago.minutes(String(Math.round(ms / 60_000)));
  return words.ago.hours(String(Math.round(ms / 3_600_000)));
}

/**
 * What the first three digits of a tag are (ISO 11784): a country's, a maker's (900 to 998), or those
 * of a test tag (999), which no real animal has.
 */
export function tagCode(tag: string): string {
  const code = tag.slice(0, 3);
  if (code === '999') return words.tagCode.test;
  return code >= '900' ? words.tagCode.maker(code) : words.tagCode.country(code);
}
