import { useState } from 'preact/hooks';
import type { Ask } from '../../fitting/steps.ts';
import type { ItemView } from '../../fitting/view.ts';
import { numberOf } from '../number.ts';
import { fittingWords as words } from '../words/fitting.ts';
import { limitText } from './found.ts';
import { answer, live } from './state.ts';

/** Fields for figures, and one button that keeps them all. */
function Fields(props: {
  item: ItemView;
  labels: string[];
  /** Reads the figure of a field now, or null. */
  now: (at: number) => string | null;
}) {
  const { item, labels, now } = props;
  const [texts, setTexts] = useState(labels.map(() => ''));
  const set = (at: number, text: string): void =>
    setTexts((all) => all.map((one, k) => (k === at ? text : one)));
  const figures = texts.map(numberOf);
  return (
    <>
      {labels.map((label, at) => {
        const reads = now(at);
        return (
          <div class="reading" key={label}>
            <label>
              {label} {reads === null ? null : <small>{words.nowReads(reads)}</small>}
              <input
                inputMode="decimal"
                autocomplete="off"
                value={texts[at] ?? ''}
                onInput={(event) => {
                  set(at, event.currentTarget.value);
                }}
              />
            </label>
            {reads === null ? null : (
              <button
                type="button"
                aria-label={`${words.take}: ${label}`}
                onClick={() => {
                  set(at, reads);
                }}
              >
                {words.take}
              </button>
            )}
          </div>
        );
      })}
      <button
        type="button"
        class="act"
        disabled={figures.includes(null)}
        onClick={() => void answer(item, figures)}
      >
        <b>{words.keep}</b>
      </button>
    </>
  );
}

export function Figures(props: { item: ItemView; ask: Extract<Ask, { kind: 'figure' }> }) {
  const { item, ask } = props;
  const unit = words.units[ask.unit];
  const labels = Array.from({ length: ask.count }, (_, at) => words.number(at + 1, unit));
  const volts = (): string | null => {
    const now = live.value;
    if (ask.unit !== 'V' || now === null) return null;
    return (item.what === 'rest-volts' ? now.volts : now.leastVolts)?.toFixed(2) ?? null;
  };
  return (
    <>
      <p class="limit">{limitText(ask)}</p>
      <Fields item={item} labels={labels} now={volts} />
      {ask.orCovered ? (
        <button type="button" class="act" onClick={() => void answer(item, 'covered')}>
          <b>{words.covered}</b>
        </button>
      ) : null}
    </>
  );
}

export function Mass(props: { item: ItemView; ask: Extract<Ask, { kind: 'mass' }> }) {
  const { item, ask } = props;
  const corners = Array.from({ length: ask.corners }, (_, at) => words.corner(at + 1));
  const reads = (at: number): string | null =>
    at === 0 ? null : (live.value?.kg?.toFixed(2) ?? null);
  return <Fields item={item} labels={[words.massOn, words.middle, ...corners]} now={reads} />;
}

export function Words({ item }: { item: ItemView }) {
  const [text, setText] = useState('');
  return (
    <>
      <label>
        {words.items['washed']?.title('')}
        <input
          value={text}
          maxLength={120}
          onInput={(event) => {
            setText(event.currentTarget.value);
          }}
        />
      </label>
      <button
        type="button"
        class="act"
        disabled={text.trim() === ''}
        onClick={() => void answer(item, text.trim())}
      >
        <b>{words.keep}</b>
      </button>
    </>
  );
}
