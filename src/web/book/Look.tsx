import type { Evening, GainLine, Line } from '../../adapters/evening.ts';
import { exitName } from '../say.ts';
import { bookWords as words } from '../words/book.ts';
import { dateText, grams, kgs, lastFive } from './say.ts';

const MOST = 40;

interface Card {
  name: string;
  /** Each as its last five digits and a word about it. */
  items: { who: string; what: string }[];
}

function cards({ look }: Evening): Card[] {
  const kilos = (lines: Line[]) =>
    lines.map((line) => ({ who: lastFive(line), what: words.kg(kgs(line.kg)) }));
  const gains = (lines: GainLine[]) =>
    lines.map((line) => ({
      who: lastFive(line),
      what: words.gain.perDay(grams(line.gramsADay), grams(line.uncertainty)),
    }));
  const reasons = (lines: Line[]) =>
    lines.map((line) => ({
      who: lastFive(line),
      what: `${line.time.slice(0, 5)} ${line.lot ?? ''}`,
    }));
  const wrongWays = (lines: Line[]) =>
    lines.map((line) => ({
      who: lastFive(line),
      what: `${line.lot ?? ''} → ${line.pen === null ? words.inOut.unknownPen : exitName(line.pen)}`,
    }));
  const { missing, held } = look;
  return [
    ...missing.map(({ lastDay, tags }) => ({
      name: words.look.missing(dateText(lastDay)),
      items: tags.map((tag) => ({ who: tag.slice(-5), what: tag.slice(0, -5) })),
    })),
    { name: words.look.lostWeight, items: gains(look.lostWeight) },
    { name: words.look.slowest, items: gains(look.slowest) },
    { name: words.look.nearlyThere, items: kilos(look.nearlyThere) },
    {
      name: words.look.held,
      items: held.map((line) => ({
        who: lastFive(line),
        what:
          line.freeOn === null ? words.look.freeUnknown : words.look.freeOn(dateText(line.freeOn)),
      })),
    },
    { name: words.look.byHand, items: reasons(look.byHand) },
    { name: words.look.letOutEarly, items: reasons(look.letOutEarly) },
    { name: words.look.openedEarly, items: reasons(look.openedEarly) },
    { name: words.look.wrongWay, items: wrongWays(look.wrongWay) },
    { name: words.look.notSure, items: reasons(look.notSure) },
  ].filter(({ items }) => items.length > 0);
}

/** What to act on, first of all: so many head and why; opened, which ones. */
export function Look({ evening }: { evening: Evening }) {
  const found = cards(evening);
  return (
    <section>
      <h2>{words.look.title}</h2>
      {found.length === 0 ? <p>{words.look.nobody}</p> : null}
      {found.map(({ name, items }) => (
        <details class="act-on" key={name}>
          <summary>
            <b>{items.length}</b> <span>{name}</span>
          </summary>
          <ul class="who-list">
            {items.slice(0, MOST).map(({ who, what }, i) => (
              <li key={i}>
                <b>{who}</b> <span>{what}</span>
              </li>
            ))}
            {items.length > MOST ? <li>{words.look.more(items.length - MOST)}</li> : null}
          </ul>
        </details>
      ))}
    </section>
  );
}
