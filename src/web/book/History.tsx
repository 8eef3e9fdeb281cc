import { useMemo, useState } from 'preact/hooks';
import type { Animal, PastWeight } from '../../adapters/evening.ts';
import { get } from '../api.ts';
import { bookWords as words } from '../words/book.ts';
import { Chart, Table, type Drawn } from './Chart.tsx';
import { axisDate, dateText, grams, kgs } from './say.ts';
import { evening, farm } from './state.ts';

const DAY_S = 86_400;

function cells({ day, kg, gain, lot, notCounted, source }: PastWeight): string[] {
  const where = source === 'list' ? words.history.fromList : (lot ?? '');
  return [
    dateText(day),
    kgs(kg),
    gain === null
      ? '–'
      : `${grams(gain.gramsADay)} ${words.plusMinus(grams(gain.uncertainty))} ${gain.widened.join('; ')}`,
    [where, notCounted === null ? '' : words.animals.notCounted(notCounted)].join(' '),
  ];
}

function One({ animal }: { animal: Animal }) {
  const drawn = useMemo((): Drawn => {
    const sure = animal.weights
      .filter(({ kg, unsure, notCounted }) => kg !== null && !unsure && notCounted === null)
      .toReversed();
    const at = (sign: number): number[] =>
      sure.map(({ kg, uncertaintyKg }) => (kg ?? 0) + sign * (uncertaintyKg ?? 0));
    return {
      title: words.history.chart,
      kind: 'line',
      x: sure.map(({ day }) => Date.parse(day) / 1000),
      y: at(0),
      interval: { low: at(-1), high: at(1) },
      say: axisDate,
      steps: [1, 2, 7, 14, 28, 91, 182, 364, 728].map((days) => days * DAY_S),
    };
  }, [animal]);
  const c = words.history.columns;
  return (
    <article class="lot-card">
      <h3>{animal.tag}</h3>
      {drawn.x.length === 0 ? null : (
        <Chart drawn={drawn}>
          <Table heads={[c.day, c.kg, c.gain, c.where]} rows={animal.weights.map(cells)} />
        </Chart>
      )}
    </article>
  );
}

/** One animal's weights, found by the last five digits of its tag. */
export function History() {
  const [digits, setDigits] = useState('');
  const [found, setFound] = useState<Animal[] | null>(null);
  const ask = async (ends: string): Promise<void> => {
    setDigits(ends);
    setFound(null);
    if (ends.length < 5) return;
    const whose = farm.value ?? evening.value?.farm ?? '';
    const query = new URLSearchParams({ ends, farm: whose });
    setFound((await get<Animal[]>(`/api/book/animal?${query.toString()}`)) ?? []);
  };
  return (
    <section>
      <h2>{words.history.title}</h2>
      <label class="ask">
        {words.history.ask}
        <input
          inputMode="numeric"
          autocomplete="off"
          value={digits}
          onInput={(event) => {
            void ask(event.currentTarget.value.replace(/\D/g, '').slice(0, 15));
          }}
        />
      </label>
      {found === null ? null : found.length === 0 ? (
        <p role="status">{words.history.nobody}</p>
      ) : null}
      {found?.map((animal) => (
        <One animal={animal} key={animal.tag} />
      ))}
    </section>
  );
}
