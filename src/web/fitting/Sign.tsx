import { useState } from 'preact/hooks';
import { fittingWords as words } from '../words/fitting.ts';
import { say, who } from './state.ts';

/** The signature under what was done. */
export function Sign() {
  return (
    <section>
      <p>{words.signHow}</p>
      <button
        type="button"
        class="act"
        disabled={who.value.trim() === ''}
        onClick={() => void say({ do: 'sign' })}
      >
        <b>{words.sign}</b>
      </button>
    </section>
  );
}

/** The set stands in another yard: the short step begins anew. */
export function NewYard() {
  const [place, setPlace] = useState('');
  return (
    <section>
      <h2>{words.newYard}</h2>
      <p>{words.newYardHow}</p>
      <label>
        {words.place}
        <input
          value={place}
          maxLength={80}
          onInput={(event) => {
            setPlace(event.currentTarget.value);
          }}
        />
      </label>
      <button
        type="button"
        class="act"
        disabled={place.trim() === '' || who.value.trim() === ''}
        onClick={() => void say({ do: 'new-yard', place: place.trim() })}
      >
        <b>{words.newYard}</b>
      </button>
    </section>
  );
}
