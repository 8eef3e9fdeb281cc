/** What people say of a session, and how its pens are called. */
import type { SessionWords } from './adapters/session.ts';

export const NOBODY_SAID: SessionWords = {
  ...{ farm: null, holding: null, flockMark: null, mob: null, field: null },
  ...{ hoursOffFeed: null, fleece: null, who: null },
};

/** A wired start takes what was said last, but nobody can know today's feed and fleece from it. */
export function withoutWeather(words: SessionWords): SessionWords {
  return { ...wordsOf(words), hoursOffFeed: null, fleece: null };
}

export function wordsOf(words: SessionWords): SessionWords {
  const { farm, holding, flockMark, mob, field, hoursOffFeed, fleece, who } = words;
  return { farm, holding, flockMark, mob, field, hoursOffFeed, fleece, who };
}

/** `left` is followed by `left 2`, `left 3` … */
export function nextPen(penOf: Record<string, string>, exit: string): string {
  const open = penOf[exit] ?? exit;
  const number = open === exit ? 1 : Number(open.slice(exit.length + 1));
  return `${exit} ${String(number + 1)}`;
}
