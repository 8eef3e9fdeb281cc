import { useState } from 'preact/hooks';
import type { Lot, Plan } from '../../core/sortplan/plan.ts';
import { exitName } from '../say.ts';
import { planWords } from '../words/plan.ts';
import { cutsOf, movedUp, renamed, withCut } from './bands.ts';
import { Choice, Figure, Name, Text, Toggle, Wrong } from './fields.tsx';
import { change, plans } from './state.ts';

/** Half a kilogram a touch. */
const STEP_KG = 0.5;

/** A lot with some of its settings changed; undefined takes one out. */
function withLot(plan: Plan, at: number, given: { [K in keyof Lot]?: Lot[K] | undefined }): Plan {
  const lots = plan.lots.map((lot, place) => {
    if (place !== at) return lot;
    const entries = Object.entries({ ...lot, ...given }).filter(([, value]) => value !== undefined);
    return Object.fromEntries(entries) as unknown as Lot;
  });
  return { ...plan, lots };
}

function Cut({ plan, at }: { plan: Plan; at: number }) {
  const cut = cutsOf(plan).find((one) => one.lot === at);
  const step = (by: number): void => {
    if (cut !== undefined) change(withCut(plan, at, cut.kg + by));
  };
  return (
    <div class="stepper">
      <button
        type="button"
        aria-label={planWords.lighter}
        disabled={cut === undefined}
        onClick={() => step(-STEP_KG)}
      >
        −
      </button>
      <Figure
        label={planWords.belowKg}
        path={['lots', at, 'belowKg']}
        value={plan.lots[at]?.belowKg ?? null}
        onChange={(kg) => {
          change(withLot(plan, at, { belowKg: kg ?? undefined }));
        }}
      />
      <button
        type="button"
        aria-label={planWords.heavier}
        disabled={cut === undefined}
        onClick={() => step(STEP_KG)}
      >
        +
      </button>
    </div>
  );
}

type Set = (given: { [K in keyof Lot]?: Lot[K] | undefined }) => void;

function Killed({ lot, at, set }: { lot: Lot; at: number; set: Set }) {
  if (lot.forSlaughter !== true) return null;
  return (
    <Text
      type="date"
      label={planWords.killOn}
      hint={planWords.killToday}
      path={['lots', at, 'killOn']}
      value={lot.killOn ?? ''}
      onChange={(killOn) => {
        set({ killOn: killOn === '' ? undefined : killOn });
      }}
    />
  );
}

/** Lots that share this one's animals evenly. */
function Shared({ plan, lot, at, set }: { plan: Plan; lot: Lot; at: number; set: Set }) {
  const shared = lot.splitWith ?? [];
  return (
    <>
      {plan.lots
        .filter(({ name }) => name !== lot.name)
        .map(({ name }) => (
          <Toggle
            key={name}
            on={shared.includes(name)}
            onChange={(on) => {
              const all = on ? [...shared, name] : shared.filter((one) => one !== name);
              set({ splitWith: all.length === 0 ? undefined : all });
            }}
          >
            {planWords.shareWith(name)}
          </Toggle>
        ))}
      <Wrong path={['lots', at, 'splitWith']} below />
    </>
  );
}

function More({ plan, lot, at }: { plan: Plan; lot: Lot; at: number }) {
  const set: Set = (given) => {
    change(withLot(plan, at, given));
  };
  const others = plan.lots.filter((one) => one.name !== lot.name);
  const full = typeof lot.whenFull === 'object' ? lot.whenFull.overflow : 'stop';
  return (
    <>
      <Figure
        label={planWords.capacity}
        hint={planWords.noLimit}
        path={['lots', at, 'capacity']}
        value={lot.capacity ?? null}
        onChange={(capacity) => {
          set(capacity === null ? { capacity: undefined, whenFull: undefined } : { capacity });
        }}
      />
      {lot.capacity === undefined ? null : (
        <Choice
          label={planWords.whenFull}
          path={['lots', at, 'whenFull']}
          value={full}
          choices={[
            ['stop', planWords.stopAndAsk],
            ...others.map((one) => [one.name, planWords.overflowTo(one.name)] as const),
          ]}
          onChange={(way) => {
            set({ whenFull: way === 'stop' ? 'stop' : { overflow: way } });
          }}
        />
      )}
      <Killed lot={lot} at={at} set={set} />
      <Text
        label={planWords.spray}
        hint={planWords.noSpray}
        path={['lots', at, 'mark']}
        value={lot.mark ?? ''}
        onChange={(mark) => {
          set({ mark: mark === '' ? undefined : mark });
        }}
      />
      <Toggle
        on={lot.aside === true}
        onChange={(aside) => {
          set(aside ? { aside, belowKg: undefined } : { aside: undefined });
        }}
      >
        {planWords.aside}
      </Toggle>
      <Shared plan={plan} lot={lot} at={at} set={set} />
      {at === 0 ? null : (
        <button type="button" class="small" onClick={() => change(movedUp(plan, at))}>
          {planWords.moveUp}
        </button>
      )}
      <button
        type="button"
        class="small"
        onClick={() => {
          change({ ...plan, lots: plan.lots.filter((_, place) => place !== at) });
        }}
      >
        {planWords.removeLot}
      </button>
    </>
  );
}

/** One lot: its name, where it goes, its cut; the rest on demand. */
export function LotCard({ plan, at }: { plan: Plan; at: number }) {
  const [more, setMore] = useState(false);
  const lot = plan.lots[at];
  if (lot === undefined) return null;
  const last = plan.lots.findLastIndex((one) => one.aside !== true) === at;
  return (
    <fieldset class="card" data-lot={lot.name}>
      <legend>
        <i class={`pattern pattern-${String(at % 6)}`} aria-hidden="true" /> {planWords.lot(at)}
      </legend>
      <div class="pair">
        <Name
          label={planWords.lotName}
          path={['lots', at, 'name']}
          value={lot.name}
          onChange={(name) => {
            change(renamed(plan, at, name));
          }}
        />
        <Choice
          label={planWords.exit}
          path={['lots', at, 'exit']}
          value={lot.exit}
          choices={(plans.value?.exits ?? []).map((exit) => [exit, exitName(exit)] as const)}
          onChange={(exit) => {
            change(withLot(plan, at, { exit }));
          }}
        />
      </div>
      {lot.aside === true || (last && lot.belowKg === undefined) ? null : (
        <Cut plan={plan} at={at} />
      )}
      <div class="pair">
        <Toggle
          on={lot.forSlaughter === true}
          onChange={(on) => {
            change(
              withLot(
                plan,
                at,
                on ? { forSlaughter: true } : { forSlaughter: undefined, killOn: undefined },
              ),
            );
          }}
        >
          {planWords.forSlaughter}
        </Toggle>
        <button type="button" class="small" aria-expanded={more} onClick={() => setMore(!more)}>
          {planWords.more}
        </button>
      </div>
      {more ? <More plan={plan} lot={lot} at={at} /> : null}
    </fieldset>
  );
}
