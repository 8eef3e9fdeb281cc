import type { Plan, Work } from '../../core/sortplan/plan.ts';
import { race } from '../store.ts';
import { planWords } from '../words/plan.ts';
import { Choice, Figure, Text, Whole, Wrong } from './fields.tsx';
import { Histogram } from './Histogram.tsx';
import { LotCard } from './LotCard.tsx';
import { begin, change, edited, openDay, past, pick, plans, shown, tryOn, look } from './state.ts';
import { Use } from './Use.tsx';
import { Deciding, Doubt } from './Doubt.tsx';
import { GainRules } from './Gain.tsx';
import { MarkRules } from './Marks.tsx';
import { TagRules } from './Ways.tsx';

const WORKS: Work[] = ['weigh-and-sort', 'weigh-only', 'sort-only', 'count-only'];
const MOST_LOTS = 5;

/** Pick, begin anew, copy. */
function Picker() {
  const now = edited.value;
  const all = plans.value;
  if (all === null || now === null) return null;
  const choices = all.plans.map(
    ({ name, title }) =>
      [name, name === all.active ? `${title} (${planWords.inUse})` : title] as const,
  );
  return (
    <>
      <Choice
        label={planWords.pick}
        value={now.name ?? ''}
        choices={now.name === null ? [['', now.plan.name] as const, ...choices] : choices}
        onChange={(name) => {
          if (name !== '') void pick(name);
        }}
      />
      {all.plans
        .filter(({ name, problem }) => name === now.name && problem !== null)
        .map(({ problem }) => (
          <p class="wrong" key="problem">
            {problem}
          </p>
        ))}
      <div class="pair">
        <button type="button" class="small" onClick={() => begin(null, all.fresh)}>
          {planWords.fresh}
        </button>
        <button
          type="button"
          class="small"
          onClick={() => begin(null, { ...now.plan, name: planWords.copyOf(now.plan.name) })}
        >
          {planWords.copy}
        </button>
      </div>
    </>
  );
}

/** The session whose weights are shown under the cuts. */
function TryOn({ plan }: { plan: Plan }) {
  const { offered, picked } = shown.value;
  const { day, days } = past.value;
  const weighs = plan.work === undefined || plan.work === 'weigh-and-sort';
  if (!weighs) return null;
  return (
    <fieldset class="card">
      <legend>{planWords.past}</legend>
      {picked === null || day === null ? (
        <p class="hint">{planWords.noPast}</p>
      ) : (
        <>
          <Histogram plan={plan} weights={picked.kg} />
          <Choice
            label={planWords.weightsOf}
            value={picked.session}
            choices={[
              ...offered.map(({ session, from, kg }) => {
                const name =
                  session === race.value?.session
                    ? planWords.thisSession
                    : planWords.pastSession(day, from.slice(-8, -3), kg.length);
                return [session, name] as const;
              }),
              ...days.filter((one) => one !== day).map((one) => [`day ${one}`, one] as const),
            ]}
            onChange={(session) => {
              if (session.startsWith('day ')) void openDay(session.slice(4));
              else {
                tryOn.value = session;
                look();
              }
            }}
          />
        </>
      )}
    </fieldset>
  );
}

function General({ plan }: { plan: Plan }) {
  const mob = (name: string): void => {
    const others = { ...plan };
    delete others.mob;
    change(name === '' ? others : { ...others, mob: name });
  };
  const work = (kind: Work): void => {
    const others = { ...plan };
    delete others.work;
    change(kind === 'weigh-and-sort' ? others : { ...others, work: kind });
  };
  const animals = (given: Partial<Plan['animals']>): void => {
    change({ ...plan, animals: { ...plan.animals, ...given } });
  };
  return (
    <fieldset class="card">
      <legend>{planWords.name}</legend>
      <Text
        label={planWords.name}
        path={['name']}
        value={plan.name}
        onChange={(name) => change({ ...plan, name })}
      />
      <Choice
        label={planWords.workTitle}
        path={['work']}
        value={plan.work ?? 'weigh-and-sort'}
        choices={WORKS.map((kind) => [kind, planWords.work[kind]] as const)}
        onChange={work}
      />
      <Text
        label={planWords.mob}
        hint={planWords.mobNone}
        path={['mob']}
        value={plan.mob ?? ''}
        onChange={mob}
      />
      <div class="pair">
        <Figure
          label={planWords.fromKg}
          path={['animals', 'fromKg']}
          value={plan.animals.fromKg}
          onChange={(fromKg) => {
            if (fromKg !== null) animals({ fromKg });
          }}
        />
        <Figure
          label={planWords.toKg}
          path={['animals', 'toKg']}
          value={plan.animals.toKg}
          onChange={(toKg) => {
            if (toKg !== null) animals({ toKg });
          }}
        />
      </div>
    </fieldset>
  );
}

function addLot(plan: Plan): void {
  const exit = plans.value?.exits[0] ?? '';
  let n = plan.lots.length + 1;
  while (plan.lots.some(({ name }) => name === planWords.lot(n - 1))) n += 1;
  change({ ...plan, lots: [...plan.lots, { name: planWords.lot(n - 1), exit, aside: true }] });
}

/** One plan: tried on weights that there are, lot by lot, and what would change before it is used. */
export function Editor() {
  const now = edited.value;
  if (now === null) return null;
  const { plan } = now;
  return (
    <>
      <Picker />
      <TryOn plan={plan} />
      <Use />
      <Whole />
      <Wrong path={['lots']} />
      {plan.lots.map((_, at) => (
        <LotCard key={at} plan={plan} at={at} />
      ))}
      {plan.lots.length < MOST_LOTS ? (
        <button type="button" class="small" onClick={() => addLot(plan)}>
          {planWords.addLot}
        </button>
      ) : null}
      <General plan={plan} />
      <Deciding plan={plan} />
      <Doubt plan={plan} />
      <TagRules plan={plan} />
      <MarkRules plan={plan} />
      <GainRules plan={plan} />
    </>
  );
}
