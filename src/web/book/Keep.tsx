import { useState } from 'preact/hooks';
import type { Evening } from '../../adapters/evening.ts';
import { exitName } from '../say.ts';
import { bookWords as words } from '../words/book.ts';
import { Share } from './Share.tsx';
import { killingOut, numberIn, query } from './state.ts';

function Link({ href, name, file }: { href: string; name: string; file: boolean }) {
  return (
    <a
      class="act link"
      href={href}
      {...(file ? { download: '' } : { target: '_blank', rel: 'noreferrer' })}
    >
      {name}
    </a>
  );
}

function Asked(props: {
  name: string;
  value: string;
  figures: boolean;
  set: (to: string) => void;
}) {
  return (
    <label class="ask">
      {props.name}
      <input
        inputMode={props.figures ? 'numeric' : 'text'}
        autocomplete="off"
        value={props.value}
        onInput={(event) => {
          props.set(event.currentTarget.value);
        }}
      />
    </label>
  );
}

/** Of which animals: `lot:Fit`, `pen:left`, or all. */
function Sheet({ evening }: { evening: Evening }) {
  const [of, setOf] = useState('');
  const [to, setTo] = useState('');
  const [untagged, setUntagged] = useState('');
  const [loaded, setLoaded] = useState('');
  const name = of.slice(4);
  const href = `/api/book/sheet${query({
    day: evening.day,
    lot: of.startsWith('lot:') ? name : null,
    pen: of.startsWith('pen:') ? name : null,
    to,
    untagged: numberIn(untagged, 0, 100_000),
    loaded: numberIn(loaded, 0, 100_000),
    killingOut: numberIn(killingOut.value, 30, 70),
  })}`;
  return (
    <fieldset class="sheet-ask">
      <legend>{words.keep.sheet}</legend>
      <label class="ask">
        {words.keep.sheetOf}
        <select
          value={of}
          onChange={(event) => {
            setOf(event.currentTarget.value);
          }}
        >
          <option value="">{words.keep.whole}</option>
          {evening.lots.map(({ lot }) =>
            lot === null ? null : (
              <option value={`lot:${lot}`} key={lot}>
                {lot}
              </option>
            ),
          )}
          {evening.head.pens.map(({ pen }) =>
            pen === null ? null : (
              <option value={`pen:${pen}`} key={`pen ${pen}`}>
                {exitName(pen)}
              </option>
            ),
          )}
        </select>
      </label>
      <Asked name={words.keep.to} value={to} figures={false} set={setTo} />
      <Asked name={words.keep.untagged} value={untagged} figures set={setUntagged} />
      <Asked name={words.keep.loaded} value={loaded} figures set={setLoaded} />
      <Link href={href} name={words.keep.print} file={false} />
      <p>{words.keep.caution}</p>
    </fieldset>
  );
}

/** Files for others, and the lot sheet. */
export function Keep({ evening }: { evening: Evening }) {
  const of = { day: evening.day };
  const comma = { ...of, separator: ';', decimal: ',', bom: 'yes' };
  return (
    <section>
      <h2>{words.keep.title}</h2>
      <Sheet evening={evening} />
      <Share evening={evening} />
      <Link href={`/api/book/csv${query(of)}`} name={words.keep.csv} file />
      <Link href={`/api/book/csv${query(comma)}`} name={words.keep.csvComma} file />
      <Link href={`/api/book/icar${query(of)}`} name={words.keep.icar} file />
    </section>
  );
}
