import type { Layout, LiveNow } from '../../adapters/page/messages.ts';
import type { Exit } from '../../core/trace.ts';
import { exitName, lotRange } from '../say.ts';
import { command, isLive, layout, race } from '../store.ts';
import { words } from '../words/en.ts';

/** Modes in which an animal can be sent by hand. */
const BY_HAND: ReadonlySet<LiveNow['mode']> = new Set(['running', 'paused']);

function Lot({ given, at, now }: { given: Layout; at: number; now: LiveNow | null }) {
  const lot = given.lots[at];
  if (lot === undefined) return null;
  const count = now?.head[at] ?? null;
  const full = count !== null && lot.capacity !== null && count >= lot.capacity;
  const chosen = isLive.value && now?.decision?.lot === lot.name;
  return (
    <span class={`lot ${chosen ? 'chosen' : ''}`} data-lot={lot.name}>
      <i class={`pattern pattern-${String(at % 6)}`} aria-hidden="true" />
      <b>{lot.name}</b>
      <span class="range">{lotRange(given, at)}</span>
      <span data-testid={`head-${lot.name}`}>
        {count === null
          ? words.noFigure
          : lot.capacity === null
            ? words.head(count)
            : words.headOf(count, lot.capacity)}
        {full ? ` ${words.full}` : ''}
      </span>
    </span>
  );
}

/** One lane of the picture: its lots, and the button that sends this animal there by hand. */
function Lane({ given, exit, said }: { given: Layout; exit: Exit; said: string | undefined }) {
  const now = race.value;
  const live = isLive.value ? now : null;
  const sorts = given.work === 'weigh-and-sort' || given.work === 'sort-only';
  const ready = live !== null && BY_HAND.has(live.mode) && sorts;
  const wanted = live?.decision?.exit === exit;
  const send = (): void => {
    const animal = live?.animal?.number;
    void command(animal === undefined ? { do: 'exit', exit } : { do: 'exit', exit, animal });
  };
  const lots = given.lots.map((lot, at) => ({ lot, at })).filter(({ lot }) => lot.exit === exit);
  return (
    <li class={`lane ${wanted ? 'wanted' : ''}`} data-exit={exit}>
      {lots.map(({ lot, at }) => (
        <Lot key={lot.name} given={given} at={at} now={now} />
      ))}
      <button type="button" class="hand" disabled={!ready} onClick={send}>
        <b>{exitName(exit)}</b>
        {said === undefined ? null : <i>{said}</i>}
        <span>{wanted ? words.thisOne : words.sendHere}</span>
      </button>
    </li>
  );
}

export function Lots() {
  const given = layout.value;
  if (given === null) return null;
  return (
    <ul class="lanes" aria-label={words.byHand}>
      {given.exits.map(({ exit, said }) => (
        <Lane key={exit} given={given} exit={exit} said={said} />
      ))}
    </ul>
  );
}
