import type { Evening, LotLine } from '../../adapters/evening.ts';
import { exitName } from '../say.ts';
import { bookWords as words } from '../words/book.ts';
import { Chart, Table, type Drawn } from './Chart.tsx';
import { kgs } from './say.ts';
import { killingOut, read, rememberKillingOut } from './state.ts';
import { useMemo } from 'preact/hooks';

/** Through the crate = not counted + counted; counted = the pens together: sums of the same rows, and no check. */
export function InOut({ evening }: { evening: Evening }) {
  const { head } = evening;
  return (
    <section>
      <h2>{words.inOut.title}</h2>
      <dl class="sums">
        <dt>{words.inOut.through}</dt>
        <dd>{head.through}</dd>
        {head.notCounted.map(({ why, head: n }) => [
          <dt key={why}>{words.inOut.notCounted(why)}</dt>,
          <dd key={`${why} head`}>− {n}</dd>,
        ])}
        <dt class="sum">{words.inOut.counted}</dt>
        <dd class="sum">{head.counted}</dd>
        {head.pens.map(({ pen, head: n }) => [
          <dt key={pen ?? ''}>{pen === null ? words.inOut.unknownPen : exitName(pen)}</dt>,
          <dd key={`${pen ?? ''} head`}>{n}</dd>,
        ])}
      </dl>
      {head.twice === 0 ? null : <p>{words.inOut.twice(head.twice)}</p>}
    </section>
  );
}

/** What went into the animals, by product and batch. */
export function GivenToday({ evening }: { evening: Evening }) {
  if (evening.given.length === 0) return null;
  return (
    <section>
      <h2>{words.given.title}</h2>
      <dl class="sums">
        {evening.given.map(({ product, batch, head, ml, unknown }) => [
          <dt key={`${product} ${batch}`}>{words.given.batch(product, batch)}</dt>,
          <dd key={`${product} ${batch} given`}>
            {words.given.used(head, ml)}
            {unknown === 0 ? null : <small>{words.given.unknown(unknown)}</small>}
          </dd>,
        ])}
      </dl>
    </section>
  );
}

function KillingOut() {
  return (
    <label class="ask">
      {words.lots.killingOut}
      <small>{words.lots.killingOutHint}</small>
      <input
        inputMode="decimal"
        autocomplete="off"
        value={killingOut.value}
        onInput={(event) => {
          rememberKillingOut(event.currentTarget.value);
          void read();
        }}
      />
    </label>
  );
}

function facts({
  weights,
  carcass,
  unsure,
  wrongWay,
  tagsRead,
  notRead,
}: LotLine): [string, string][] {
  const l = words.lots;
  const tags: [string, string] = [l.tags, l.tagCount(tagsRead, notRead)];
  const sure: [string, string][] = [
    ...(unsure === 0 ? [] : ([[words.look.notSure, String(unsure)]] as [string, string][])),
    ...(wrongWay === 0 ? [] : ([[words.look.wrongWay, String(wrongWay)]] as [string, string][])),
  ];
  if (weights === null) return [tags, ...sure];
  const of = (kg: number): string => words.kg(kgs(kg));
  return [
    [l.average, of(weights.mean)],
    [l.range, `${kgs(weights.least)}–${of(weights.most)}`],
    ...(weights.sd === null ? [] : ([[l.sd, of(weights.sd)]] as [string, string][])),
    [l.total, of(weights.total)],
    ...(carcass === null
      ? []
      : ([[l.carcass, `${of(carcass.meanKg)}, ${of(carcass.totalKg)}`]] as [string, string][])),
    tags,
    ...sure,
  ];
}

export function Lots({ evening }: { evening: Evening }) {
  return (
    <section>
      <h2>{words.lots.title}</h2>
      {evening.lots.map((lot) => (
        <article class="lot-card" key={lot.lot ?? ''}>
          <h3>
            {lot.lot ?? words.lots.noLot} <span>{words.head(lot.head)}</span>
          </h3>
          <dl class="facts">
            {facts(lot).map(([what, value]) => (
              <div key={what}>
                <dt>{what}</dt>
                <dd>{value}</dd>
              </div>
            ))}
          </dl>
        </article>
      ))}
      <KillingOut />
      <Weights evening={evening} />
    </section>
  );
}

/** All lots in one chart: where the cuts could lie is seen best there. */
function Weights({ evening }: { evening: Evening }) {
  const sums = useMemo(() => {
    const byKg = new Map<number, number>();
    for (const { classes } of evening.lots)
      for (const { fromKg, head } of classes) byKg.set(fromKg, (byKg.get(fromKg) ?? 0) + head);
    return [...byKg].sort(([a], [b]) => a - b);
  }, [evening]);
  const drawn = useMemo(
    (): Drawn => ({
      title: words.lots.weights,
      kind: 'bars',
      x: sums.map(([kg]) => kg + 0.5),
      y: sums.map(([, head]) => head),
      say: (kg) => String(kg),
      steps: [1, 2, 5, 10, 20, 50],
    }),
    [sums],
  );
  if (sums.length === 0) return null;
  return (
    <Chart drawn={drawn}>
      <Table heads={[words.lots.from, words.pace.animals]} rows={sums} />
    </Chart>
  );
}
