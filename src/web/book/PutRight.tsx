import { useEffect, useState } from 'preact/hooks';
import type { Line } from '../../adapters/evening.ts';
import { PutRight as Ways } from '../session/Animals.tsx';
import '../session/session.css';
import { order, says, session } from '../session/state.ts';
import { race } from '../store.ts';
import { bookWords as words } from '../words/book.ts';
import { evening, read } from './state.ts';

/** An animal of today is put right here too; of older days the book is only read. */
export function PutRight({ line }: { line: Line }) {
  const [open, setOpen] = useState(false);
  const rev = race.value?.sessionRev;
  useEffect(() => {
    if (open) void read();
  }, [rev]);
  const { animal, lot, corrections } = line;
  const isOn = line.session === race.value?.session;
  const today = session.value?.clock.local.slice(0, 10);
  if (!isOn && evening.value?.day !== today) return <p>{words.animals.onlyRead}</p>;
  const of = isOn ? { animal } : { animal, session: line.session };
  const sorted = evening.value?.sessions.find(({ id }) => id === line.session);
  const lots = isOn ? null : (sorted?.lots ?? []);
  return (
    <div class="session" data-put-right={animal}>
      <button type="button" class="tap" aria-expanded={open} onClick={() => setOpen(!open)}>
        {words.animals.putRight}
      </button>
      {open ? (
        <>
          <Ways one={{ animal, lot, dose: null }} of={of} lots={lots} />
          {corrections.length === 0 ? null : (
            <button
              type="button"
              class="tap"
              onClick={() => void order({ do: 'take-back', ...of })}
            >
              {words.animals.takeBack}
            </button>
          )}
          <p role="status">{says.value?.text}</p>
        </>
      ) : null}
    </div>
  );
}
