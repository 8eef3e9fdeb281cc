import { useMemo } from 'preact/hooks';
import type { Evening, GainLine, ReadyLine } from '../../adapters/evening.ts';
import { bookWords as words } from '../words/book.ts';
import { Chart, Table, type Drawn } from './Chart.tsx';
import { dateText, grams, kgs, lastFive } from './say.ts';
import { evening as known, read, target } from './state.ts';

/** Width of a class of gains, g a day. */
const CLASS = 50;

function classes(gains: GainLine[]): [number, number][] {
  const of = new Map<number, number>();
  for (const { gramsADay } of gains) {
    const from = Math.floor(gramsADay / CLASS) * CLASS;
    of.set(from, (of.get(from) ?? 0) + 1);
  }
  return [...of].sort(([a], [b]) => a - b);
}

export function Gains({ evening }: { evening: Evening }) {
  const { flock, gains } = evening;
  const drawn = useMemo((): Drawn => {
    const all = classes(gains);
    return {
      title: words.gain.chart,
      kind: 'bars',
      x: all.map(([from]) => from + CLASS / 2),
      y: all.map(([, head]) => head),
      say: (value) => String(value),
      steps: [50, 100, 200, 500, 1000],
    };
  }, [gains]);
  const c = words.gain.columns;
  return (
    <section>
      <h2>{words.gain.title}</h2>
      {flock === null ? (
        <p>{words.gain.none}</p>
      ) : (
        <>
          <p class="figure">
            <b>{words.gain.perDay(grams(flock.gramsADay), grams(flock.uncertainty))}</b>
            <span>{words.gain.flock(flock.head)}</span>
            {flock.sd === null ? null : <span>{words.gain.spread(grams(flock.sd))}</span>}
          </p>
          {flock.widened.length === 0 ? null : (
            <p class="caution">
              {words.gain.widened} {flock.widened.join('; ')}
            </p>
          )}
          <Chart drawn={drawn}>
            <Table heads={[c.tag, c.before, c.now, c.gain]} rows={gains.map(gainCells)} />
          </Chart>
        </>
      )}
    </section>
  );
}

function gainCells(line: GainLine): string[] {
  return [
    lastFive(line),
    [
      kgs(line.fromKg),
      dateText(line.fromDay),
      ...(line.fromList ? [words.history.fromList] : []),
    ].join(', '),
    kgs(line.kg),
    `${grams(line.gramsADay)} ${words.plusMinus(grams(line.uncertainty))}`,
  ];
}

export function Target() {
  const found = known.value?.target ?? null;
  const c = words.target.columns;
  return (
    <section>
      <h2>{words.target.title}</h2>
      <label class="ask">
        {words.target.weight}
        <input
          inputMode="decimal"
          autocomplete="off"
          value={target.value === '' ? String(found?.kg ?? '') : target.value}
          onInput={(event) => {
            target.value = event.currentTarget.value;
            void read();
          }}
        />
      </label>
      {found === null ? null : (
        <>
          <p>{words.target.sum(found.there, found.coming.length, found.unknown)}</p>
          {found.coming.length === 0 ? null : (
            <details>
              <summary>{words.table}</summary>
              <p>{words.target.how}</p>
              <div class="wide" tabIndex={0}>
                <Table heads={[c.tag, c.now, c.day]} rows={found.coming.map(readyCells)} />
              </div>
            </details>
          )}
        </>
      )}
    </section>
  );
}

function readyCells(line: ReadyLine): string[] {
  const { day, earliest, latest } = line;
  const said = (one: string | null): string => (one === null ? words.target.open : dateText(one));
  const when = day === null ? words.target.never : dateText(day);
  return [
    line.tag.slice(-5),
    kgs(line.kg),
    `${when} (${words.target.between(said(earliest), said(latest))})`,
  ];
}
