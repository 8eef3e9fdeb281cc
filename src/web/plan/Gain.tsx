/** What a plan says of daily gain. */
import type { GainPlan, Plan } from '../../core/sortplan/plan.ts';
import { planWords } from '../words/plan.ts';
import { Figure, Toggle, Wrong } from './fields.tsx';
import { GoesTo, Rules, without, type RuleOf } from './rules.tsx';
import { change } from './state.ts';

type GainRule = GainPlan['rules'][number];

/** What a plan begins with that had none. */
const LEAST_DAYS = 14;
const SLOW = 100;

function GainRuleFields({ plan, rule, at, set }: RuleOf<GainRule>) {
  const path = ['gain', 'rules', at];
  return (
    <>
      <div class="pair">
        <Figure
          label={planWords.fromGrams}
          path={[...path, 'fromGramsPerDay']}
          value={rule.fromGramsPerDay}
          onChange={(grams) => {
            set(without({ ...rule, fromGramsPerDay: grams ?? undefined }));
          }}
        />
        <Figure
          label={planWords.belowGrams}
          path={[...path, 'belowGramsPerDay']}
          value={rule.belowGramsPerDay}
          onChange={(grams) => {
            set(without({ ...rule, belowGramsPerDay: grams ?? undefined }));
          }}
        />
      </div>
      <GoesTo
        plan={plan}
        path={path}
        lot={rule.lot}
        set={(lot) => {
          set({ ...rule, lot });
        }}
      />
    </>
  );
}

export function GainRules({ plan }: { plan: Plan }) {
  const { gain } = plan;
  const first = plan.lots[0]?.name ?? '';
  const fresh = { belowGramsPerDay: SLOW, lot: first };
  const put = (given: GainPlan | undefined): void => {
    const others = { ...plan };
    delete others.gain;
    change(given === undefined ? others : { ...others, gain: given });
  };
  return (
    <fieldset class="card" data-rules="gain">
      <legend>{planWords.gain}</legend>
      <Toggle
        on={gain !== undefined}
        onChange={(on) => {
          put(on ? { leastDays: LEAST_DAYS, rules: [fresh] } : undefined);
        }}
      >
        {planWords.gainOn}
      </Toggle>
      <Wrong path={['gain']} />
      {gain === undefined ? (
        <p class="hint">{planWords.gainOff}</p>
      ) : (
        <>
          <Figure
            label={planWords.leastDays}
            path={['gain', 'leastDays']}
            value={gain.leastDays}
            onChange={(leastDays) => {
              if (leastDays !== null) put({ ...gain, leastDays });
            }}
          />
          <Rules
            plan={plan}
            rules={gain.rules}
            fresh={fresh}
            Fields={GainRuleFields}
            onChange={(rules) => {
              put(rules.length === 0 ? undefined : { ...gain, rules });
            }}
          />
          <p class="hint">{planWords.gainHint}</p>
        </>
      )}
    </fieldset>
  );
}
