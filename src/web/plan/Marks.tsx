/** Marks that are offered at the race, and the rules that use them. */
import type { MarkCondition, MarkRule, Plan } from '../../core/sortplan/plan.ts';
import { MARK_VALUES, markValueWords } from '../race/Marks.tsx';
import { words } from '../words/en.ts';
import { planWords } from '../words/plan.ts';
import { Choice, Figure, Text, Toggle, Wrong } from './fields.tsx';
import { GoesTo, Rules, without, type RuleOf } from './rules.tsx';
import { change } from './state.ts';

const MARKS = ['condition', 'sex', 'rearing', 'keep', 'lame'];
const COLOUR = 'colour';
const MOST_MARKS = 3;
/** The middle of the scale, where a range of condition begins. */
const MIDDLE = 3;

const nameOf = (mark: string): string =>
  mark === COLOUR ? planWords.colour : (words.markNames[mark] ?? mark);

function howOf({ mark, is, from, to }: MarkCondition): string {
  if (from !== undefined || to !== undefined) return 'range';
  if (is === undefined || is === true) return 'given';
  if (is === false) return 'not';
  return mark === COLOUR ? 'word' : `is ${String(is)}`;
}

function howsOf(mark: string): [string, string][] {
  const values = MARK_VALUES[mark] ?? [];
  return [
    ['given', planWords.isGiven],
    ...(mark === 'condition' ? [['range', planWords.isRange] as [string, string]] : []),
    ...(mark === COLOUR ? [['word', planWords.isColour] as [string, string]] : []),
    ...values.map((value): [string, string] => [`is ${String(value)}`, markValueWords(value)]),
    ['not', planWords.isNot],
  ];
}

function conditionOf(mark: string, how: string): MarkCondition {
  if (how === 'range') return { mark, from: MIDDLE };
  if (how === 'not') return { mark, is: false };
  if (how === 'word') return { mark, is: '' };
  const is = MARK_VALUES[mark]?.find((value) => how === `is ${String(value)}`);
  return is === undefined ? { mark } : { mark, is };
}

interface OneOf {
  condition: MarkCondition;
  path: (string | number)[];
  set: (condition: MarkCondition) => void;
}

/** The least and the most condition. */
function Range({ condition, set }: Omit<OneOf, 'path'>) {
  const choices = [
    ['', words.noFigure] as const,
    ...(MARK_VALUES['condition'] ?? []).map((value) => [String(value), String(value)] as const),
  ];
  const side = (key: 'from' | 'to', label: string) => (
    <Choice
      label={label}
      value={String(condition[key] ?? '')}
      choices={choices}
      onChange={(text) => {
        set(without({ ...condition, [key]: text === '' ? undefined : Number(text) }));
      }}
    />
  );
  return (
    <div class="pair">
      {side('from', planWords.atLeast)}
      {side('to', planWords.atMost)}
    </div>
  );
}

function Condition({ condition, path, set }: OneOf) {
  const { mark } = condition;
  return (
    <>
      <div class="pair">
        <Choice
          label={planWords.mark}
          value={mark}
          choices={[...MARKS, COLOUR].map((name) => [name, nameOf(name)] as const)}
          onChange={(name) => {
            set({ mark: name });
          }}
        />
        <Choice
          label={planWords.is}
          path={path}
          value={howOf(condition)}
          choices={howsOf(mark)}
          onChange={(how) => {
            set(conditionOf(mark, how));
          }}
        />
      </div>
      {howOf(condition) === 'range' ? <Range condition={condition} set={set} /> : null}
      {howOf(condition) === 'word' ? (
        <Text
          label={planWords.colour}
          value={String(condition.is ?? '')}
          onChange={(is) => {
            set({ mark, is });
          }}
        />
      ) : null}
    </>
  );
}

function Conditions({ rule, at, set }: RuleOf<MarkRule>) {
  const { when } = rule;
  return (
    <>
      {when.map((condition, place) => (
        <Condition
          key={place}
          condition={condition}
          path={['marks', 'rules', at, 'when', place]}
          set={(one) => {
            set({ ...rule, when: when.map((other, n) => (n === place ? one : other)) });
          }}
        />
      ))}
      <div class="pair">
        {when.length < MOST_MARKS ? (
          <button
            type="button"
            class="small"
            onClick={() => {
              const next = MARKS.find((mark) => when.every((one) => one.mark !== mark));
              set({ ...rule, when: [...when, { mark: next ?? COLOUR }] });
            }}
          >
            {planWords.andAlso}
          </button>
        ) : null}
        {when.length > 1 ? (
          <button
            type="button"
            class="small"
            onClick={() => {
              set({ ...rule, when: when.slice(0, -1) });
            }}
          >
            {planWords.oneLess}
          </button>
        ) : null}
      </div>
    </>
  );
}

function MarkRuleFields(props: RuleOf<MarkRule>) {
  const { plan, rule, at, set } = props;
  const path = ['marks', 'rules', at];
  const named = rule.fromKg !== undefined || rule.belowKg !== undefined;
  const side = (key: 'fromKg' | 'belowKg') => (
    <Figure
      label={planWords[key]}
      path={[...path, key]}
      value={rule[key]}
      onChange={(kg) => {
        set(without({ ...rule, [key]: kg ?? undefined }));
      }}
    />
  );
  return (
    <>
      <Conditions {...props} />
      {plan.work === 'sort-only' && !named ? null : (
        <div class="pair">
          {side('fromKg')}
          {side('belowKg')}
        </div>
      )}
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

export function MarkRules({ plan }: { plan: Plan }) {
  const marks = plan.marks ?? { offer: [], rules: [] };
  const put = (given: typeof marks): void => {
    const others = { ...plan };
    delete others.marks;
    const empty = given.offer.length === 0 && given.rules.length === 0;
    change(empty ? others : { ...others, marks: given });
  };
  const press = (name: string, on: boolean): void => {
    const offer = on ? [...marks.offer, name] : marks.offer.filter((one) => one !== name);
    put({ ...marks, offer: offer.slice(-MOST_MARKS) });
  };
  return (
    <fieldset class="card" data-rules="marks">
      <legend>{planWords.marks}</legend>
      <p class="hint">{planWords.marksOffered}</p>
      <div class="pair">
        {MARKS.map((name) => (
          <Toggle key={name} on={marks.offer.includes(name)} onChange={(on) => press(name, on)}>
            {nameOf(name)}
          </Toggle>
        ))}
      </div>
      <Wrong path={['marks', 'offer']} below />
      <p class="hint">{marks.rules.length === 0 ? planWords.noMarkRule : planWords.markRule}</p>
      <Rules
        plan={plan}
        rules={marks.rules}
        fresh={{ when: [{ mark: marks.offer[0] ?? 'lame' }], lot: plan.lots[0]?.name ?? '' }}
        Fields={MarkRuleFields}
        onChange={(rules) => {
          put({ ...marks, rules });
        }}
      />
    </fieldset>
  );
}
