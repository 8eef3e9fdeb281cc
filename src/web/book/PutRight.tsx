import { useEffect, useState } from 'preact/hooks';
import type { Line } from '../../adapters/evening.ts';
import { PutRight as Ways } from '../session/Animals.tsx';
import '../session/session.css';
import { order, says } from '../session/state.ts';
import { race } from '../store.ts';
import { bookWords as words } from '../words/book.ts';
import { read } from './state.ts';

/** An animal of the session that is on is put right here too; of older days the book is only read. */
export function PutRight({ line }: { line: Line }) {
  const [open, setOpen] = useState(false);
  const rev = race.value?.sessionRev;
  useEffect(() => {
    if (open) void read();
  }, [rev]);
  if (line.session !== race.value?.session) return <p>{words.animals.onlyRead}</p>;
  const { animal, lot, corrections } = line;
  return (
    <div class="session" data-put-right={animal}>
      <button type="button" class="tap" aria-expanded={open} onClick={() => setOpen(!open)}>
        {words.animals.putRight}
      </button>
      {open ? (
        <>
          <Ways one={{ animal, lot, dose: null }} />
          {corrections.length === 0 ? null : (
            <button
              type="button"
              class="tap"
              onClick={() => void order({ do: 'take-back', animal })}
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
