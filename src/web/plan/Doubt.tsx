/** When a weight is good enough, and where an animal goes that nothing is sure of. */
import type { Plan } from '../../core/sortplan/plan.ts';
import { planWords } from '../words/plan.ts';
import { Choice, Figure, Toggle, Wrong } from './fields.tsx';
import { change } from './state.ts';
import { keyOf, wayOf, waysOf } from './Ways.tsx';

type Decide = Plan['decide'];

/** What a plan begins with that had neither. */
const SETTLE = { withinKg: 0.5, forMs: 1000 };
const CONFIDENCE = 0.995;

function put(plan: Plan, given: { [K in keyof Decide]?: Decide[K] | undefined }): void {
  const entries = Object.entries({ ...plan.decide, ...given });
  const decide = Object.fromEntries(entries.filter(([, value]) => value !== undefined));
  change({ ...plan, decide: decide as unknown as Decide });
}

function Settled({ plan, settle }: { plan: Plan; settle: NonNullable<Decide['settle']> }) {
  return (
    <div class="pair">
      <Figure
        label={planWords.withinKg}
        path={['decide', 'settle', 'withinKg']}
        value={settle.withinKg}
        onChange={(withinKg) => {
          if (withinKg !== null) put(plan, { settle: { ...settle, withinKg } });
        }}
      />
      <Figure
        label={planWords.forSeconds}
        path={['decide', 'settle', 'forMs']}
        value={settle.forMs / 1000}
        onChange={(s) => {
          if (s !== null) put(plan, { settle: { ...settle, forMs: Math.round(s * 1000) } });
        }}
      />
    </div>
  );
}

/** Standing still, sure, leeway, call. */
export function Deciding({ plan }: { plan: Plan }) {
  const { decide } = plan;
  const { settle, confidence } = decide;
  return (
    <fieldset class="card" data-rules="decide">
      <legend>{planWords.deciding}</legend>
      <Toggle
        on={settle !== undefined}
        onChange={(on) => {
          put(plan, { settle: on ? SETTLE : undefined });
        }}
      >
        {planWords.settleOn}
      </Toggle>
      {settle === undefined ? null : <Settled plan={plan} settle={settle} />}
      <Toggle
        on={confidence !== undefined}
        onChange={(on) => {
          put(plan, { confidence: on ? CONFIDENCE : undefined });
        }}
      >
        {planWords.sureOn}
      </Toggle>
      {confidence === undefined ? null : (
        <Figure
          label={planWords.confidence}
          path={['decide', 'confidence']}
          value={Math.round(confidence * 1e6) / 1e4}
          onChange={(percent) => {
            if (percent !== null) put(plan, { confidence: Math.round(percent * 1e4) / 1e6 });
          }}
        />
      )}
      <div class="pair">
        <Figure
          label={planWords.leeway}
          path={['decide', 'hysteresisKg']}
          value={decide.hysteresisKg}
          onChange={(hysteresisKg) => {
            if (hysteresisKg !== null) put(plan, { hysteresisKg });
          }}
        />
        <Figure
          label={`${planWords.callAfter}, ${planWords.seconds}`}
          path={['decide', 'callAfterMs']}
          value={decide.callAfterMs / 1000}
          onChange={(s) => {
            if (s !== null) put(plan, { callAfterMs: Math.round(s * 1000) });
          }}
        />
      </div>
      <Wrong path={['decide']} />
    </fieldset>
  );
}

/** Where doubt leads; to slaughter only where somebody says so. */
export function Doubt({ plan }: { plan: Plan }) {
  const allowed = plan.allowUnsureToSlaughter === true;
  const allow = (on: boolean): void => {
    const others = { ...plan };
    delete others.allowUnsureToSlaughter;
    change(on ? { ...others, allowUnsureToSlaughter: true } : others);
  };
  return (
    <fieldset class="card" data-rules="doubt">
      <legend>{planWords.unsure}</legend>
      <Choice
        label={planWords.unsure}
        path={['unsure']}
        value={keyOf(plan.unsure)}
        choices={waysOf(plan, true)}
        onChange={(key) => {
          change({ ...plan, unsure: wayOf(key) });
        }}
      />
      <Toggle on={allowed} onChange={allow}>
        {planWords.doubtToSlaughter}
      </Toggle>
      {allowed ? <p class="caution">{planWords.doubtCaution}</p> : null}
    </fieldset>
  );
}
