import { Fragment } from 'preact';
import { useState } from 'preact/hooks';
import type { Line } from '../../adapters/evening.ts';
import { exitName } from '../say.ts';
import { bookWords as words } from '../words/book.ts';
import { PutRight } from './PutRight.tsx';
import { kgs, lastFive } from './say.ts';
import { lines } from './state.ts';

const STEP = 50;
/** Few enough to be the one that is meant: what is wrong about it may be put right. */
const FEW = 3;

/** What of a line a person may look for. */
function text(line: Line): string {
  const { tag, lot, pen, exit, rule, flags, marks, reason, notCounted, corrections, unsure } = line;
  const parts = [tag, lot, pen, exit, rule, reason, notCounted, ...flags, ...marks];
  const more = [unsure ? words.look.notSure : '', corrections.length > 0 ? 'put right' : ''];
  return [...parts, ...more].join(' ').replaceAll('-', ' ').toLowerCase();
}

/** What was put right, beside what it was. */
function corrected({ kind, was, value, who }: Line['corrections'][number]): string {
  const said = (one: typeof was): string => (one === null ? words.animals.takenBack : String(one));
  const name = words.animals.kinds[kind] ?? kind;
  const by = who === null ? '' : words.animals.by(who);
  return words.animals.corrected(name, said(was), said(value)) + by;
}

function notes(line: Line): string[] {
  return [
    ...(line.notCounted === null ? [] : [words.animals.notCounted(line.notCounted)]),
    ...(line.unsure ? [words.look.notSure] : []),
    ...(line.clock === 'unset' ? [words.animals.clockUnset] : []),
    ...line.flags.map((flag) => flag.replaceAll(/([a-z])-/g, '$1 ')),
    ...line.marks,
    ...line.corrections.map(corrected),
  ];
}

function Row({ line }: { line: Line }) {
  const said = notes(line);
  const places = [line.lot ?? words.lots.noLot, line.pen === null ? '' : exitName(line.pen)];
  return (
    <tr class={line.notCounted === null ? '' : 'out'}>
      <td>{line.time.slice(0, 5)}</td>
      <td>
        <b>{lastFive(line)}</b>
      </td>
      <td>{kgs(line.kg)}</td>
      <td>
        {places.filter((one) => one !== '').join(', ')}
        {said.map((one, i) => (
          <small key={i}>{one}</small>
        ))}
      </td>
    </tr>
  );
}

/** Every animal, those that do not count included; what was put right stands beside it. */
export function Animals() {
  const [filter, setFilter] = useState('');
  const [most, setMost] = useState(STEP);
  const wanted = filter.trim().toLowerCase().replaceAll('-', ' ');
  const found = lines.value.filter((line) => wanted === '' || text(line).includes(wanted));
  const c = words.animals.columns;
  return (
    <section>
      <h2>{words.animals.title}</h2>
      <label class="ask">
        {words.animals.filter}
        <small>{words.animals.filterHint}</small>
        <input
          type="search"
          autocomplete="off"
          value={filter}
          onInput={(event) => {
            setFilter(event.currentTarget.value);
            setMost(STEP);
          }}
        />
      </label>
      <p role="status">{words.animals.shown(found.length, lines.value.length)}</p>
      <table class="animals">
        <thead>
          <tr>
            {[c.time, c.tag, c.kg, c.where].map((head) => (
              <th scope="col" key={head}>
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {found.slice(0, most).map((line) => (
            <Fragment key={`${line.session}/${String(line.animal)}`}>
              <Row line={line} />
              {found.length > FEW ? null : (
                <tr class="put">
                  <td colSpan={4}>
                    <PutRight line={line} />
                  </td>
                </tr>
              )}
            </Fragment>
          ))}
        </tbody>
      </table>
      {found.length > most ? (
        <button
          type="button"
          class="act"
          onClick={() => {
            setMost(most + 4 * STEP);
          }}
        >
          {words.animals.more}
        </button>
      ) : null}
    </section>
  );
}
