import { command, isLive, layout, practice, race } from '../store.ts';
import { words } from '../words/en.ts';

/** Lots that are nearly full, said before it is too late to make room. */
export function Filling() {
  const filling = isLive.value ? (race.value?.filling ?? []) : [];
  if (filling.length === 0) return null;
  return (
    <div class="filling" role="status" data-testid="filling">
      {filling.map(({ lot, left }) => (
        <p key={lot}>{words.placesLeft(left, lot)}</p>
      ))}
    </div>
  );
}

/** Kinds of work in which no leaf moves, and sorting on without tags. */
export function Work() {
  const work = layout.value?.work ?? 'weigh-and-sort';
  const tagsOff = isLive.value && race.value?.tagsOff === true;
  return (
    <>
      {work === 'weigh-and-sort' ? null : <p class="practice">{words.work[work]}</p>}
      {tagsOff ? (
        <section class="control">
          <p>{words.tagsOff}</p>
          <button
            type="button"
            class="small"
            onClick={() => void command({ do: 'answer', answer: 'with-tags' })}
          >
            {words.withTags}
          </button>
        </section>
      ) : null}
    </>
  );
}

/** Nothing of this is real: said over it, with the way out. */
export function Practising() {
  const now = practice.value;
  if (now === null) return null;
  return (
    <section class="control practice" data-testid="practising">
      <p>{words.practiceMeans}</p>
      <button type="button" class="small" onClick={now.end}>
        {words.practiceEnd}
      </button>
    </section>
  );
}
