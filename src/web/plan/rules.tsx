/** Rules in their order: the first that is met decides, so they can be moved. */
import type { ComponentType } from 'preact';
import type { Plan } from '../../core/sortplan/plan.ts';
import { planWords } from '../words/plan.ts';
import { Choice, Wrong } from './fields.tsx';

export interface RuleOf<Rule> {
  plan: Plan;
  rule: Rule;
  at: number;
  set: (rule: Rule) => void;
}

/** A rule without the settings that are undefined. */
export function without<Rule extends object>(given: {
  [K in keyof Rule]: Rule[K] | undefined;
}): Rule {
  const entries = Object.entries(given).filter(([, value]) => value !== undefined);
  return Object.fromEntries(entries) as Rule;
}

export function Rules<Rule>(props: {
  plan: Plan;
  rules: Rule[];
  /** What one more begins with. */
  fresh: Rule;
  Fields: ComponentType<RuleOf<Rule>>;
  onChange: (rules: Rule[]) => void;
}) {
  const { plan, rules, fresh, Fields, onChange } = props;
  return (
    <>
      {rules.length > 1 ? <p class="hint">{planWords.firstRule}</p> : null}
      <ol class="rows">
        {rules.map((rule, at) => (
          <li key={at} data-rule={at}>
            <b>{planWords.rule(at)}</b>
            <Fields
              plan={plan}
              rule={rule}
              at={at}
              set={(one) => {
                onChange(rules.map((other, place) => (place === at ? one : other)));
              }}
            />
            <div class="pair">
              <button
                type="button"
                class="small"
                onClick={() => {
                  onChange(rules.filter((_, place) => place !== at));
                }}
              >
                {planWords.removeRule}
              </button>
              {at === 0 ? null : (
                <button
                  type="button"
                  class="small"
                  onClick={() => {
                    const moved = rules.filter((_, place) => place !== at);
                    moved.splice(at - 1, 0, rule);
                    onChange(moved);
                  }}
                >
                  {planWords.moveUp}
                </button>
              )}
            </div>
          </li>
        ))}
      </ol>
      <button type="button" class="small add" onClick={() => onChange([...rules, fresh])}>
        {planWords.addRule}
      </button>
    </>
  );
}

/** Where the animals of a rule go, and what is wrong with the rule. */
export function GoesTo(props: {
  plan: Plan;
  path: (string | number)[];
  lot: string;
  set: (lot: string) => void;
}) {
  const { plan, path, lot, set } = props;
  return (
    <>
      <Choice
        label={planWords.goesTo}
        path={[...path, 'lot']}
        value={lot}
        choices={plan.lots.map(({ name }) => [name, planWords.toLot(name)] as const)}
        onChange={set}
      />
      <Wrong path={path} />
    </>
  );
}
