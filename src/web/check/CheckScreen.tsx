import { useEffect, useState } from 'preact/hooks';
import type { CheckShown } from '../../adapters/evening.ts';
import { get, post } from '../api.ts';
import { numberOf } from '../number.ts';
import { kgText } from '../say.ts';
import { isLive, layout, me, race, sheet } from '../store.ts';
import { checkWords } from '../words/check.ts';
import { words } from '../words/en.ts';
import './check.css';

/** What the weigh head shows now, or null where nothing is live. */
function shownNow(): string | null {
  const kg = isLive.value ? (race.value?.weight.kg ?? null) : null;
  return kg === null ? null : kgText(kg, layout.value?.divisionKg ?? 0.1);
}

function Reading(props: {
  label: string;
  value: string;
  taken: boolean;
  set: (text: string) => void;
}) {
  const { label, value, taken, set } = props;
  return (
    <div class="reading">
      <label>
        {label}
        <input
          inputMode="decimal"
          autocomplete="off"
          value={value}
          onInput={(event) => {
            set(event.currentTarget.value);
          }}
        />
      </label>
      {taken ? (
        <button
          type="button"
          disabled={shownNow() === null}
          aria-label={`${checkWords.take}: ${label}`}
          onClick={() => {
            set(shownNow() ?? value);
          }}
        >
          {checkWords.take}
        </button>
      ) : null}
    </div>
  );
}

const EMPTY = ['', '', '', '', '', ''];

/** The place Check: a known mass in the middle and at the corners. */
export function CheckScreen() {
  const [fields, setFields] = useState(EMPTY);
  const [says, setSays] = useState<{ text: string; bad: boolean } | null>(null);
  const [before, setBefore] = useState<CheckShown[] | null>(null);
  const open = async (): Promise<void> => setBefore(await get<CheckShown[]>('/api/check-weight'));
  useEffect(() => void open(), []);
  const keep = async (): Promise<void> => {
    const [massKg = null, middleKg = null, ...corners] = fields.map(numberOf);
    if (massKg === null || middleKg === null) {
      setSays({ text: checkWords.missing, bad: true });
      return;
    }
    if (me.value.role === null) {
      sheet.value = 'sign-in';
      return;
    }
    const cornersKg = corners.filter((kg) => kg !== null);
    const answer = await post('/api/check-weight', { massKg, middleKg, cornersKg });
    const refused = answer.ok ? null : (answer.refusal?.reason ?? words.refusal['no-answer']);
    setSays({ text: refused ?? checkWords.kept, bad: refused !== null });
    if (answer.ok) setFields(EMPTY);
    // Kept on another thread; it is there a moment later.
    setTimeout(() => void open(), 600);
  };
  const labels = [checkWords.mass, checkWords.middle, ...[1, 2, 3, 4].map(checkWords.corner)];
  return (
    <main class="check">
      <h1>{checkWords.title}</h1>
      <p>{checkWords.how}</p>
      {labels.map((label, at) => (
        <Reading
          key={label}
          label={label}
          value={fields[at] ?? ''}
          taken={at > 0}
          set={(text) => {
            setFields((all) => all.map((one, k) => (k === at ? text : one)));
          }}
        />
      ))}
      <p role="status" class={`said ${says?.bad === true ? 'bad' : ''}`}>
        {says?.text}
      </p>
      <button type="button" class="act" onClick={() => void keep()}>
        <b>{checkWords.keep}</b>
      </button>
      <h2>{checkWords.before}</h2>
      {before === null || before.length === 0 ? <p>{checkWords.none}</p> : null}
      <ul>
        {(before ?? []).map((one) => (
          <li key={`${one.day} ${one.time} ${one.words}`}>
            <b>
              {one.day} {one.time}
            </b>{' '}
            {one.words}
          </li>
        ))}
      </ul>
      <p>{words.notForTrade}</p>
    </main>
  );
}
