import { signal } from '@preact/signals';
import { useState } from 'preact/hooks';
import type { Use } from '../../core/sortplan/withdrawal.ts';
import { planWords } from '../words/plan.ts';
import { Choice, Field, Text } from './fields.tsx';
import { openRecord, record, type ShownTreatment } from './lists.ts';
import { send } from './state.ts';

type To = 'tags' | 'mob' | 'colour';
const USES: Use[] = ['label', 'off-label', 'not-for-food'];

const EMPTY = {
  product: '',
  given: '',
  days: '',
  batch: '',
  use: 'label' as Use,
  tags: '',
  mob: '',
  colour: '',
};
const form = signal(EMPTY);
const to = signal<To>('tags');
const errors = signal<string[]>([]);
const added = signal(false);

function set(change: Partial<typeof EMPTY>): void {
  form.value = { ...form.value, ...change };
  added.value = false;
}

async function add(): Promise<void> {
  const { tags, mob, colour, ...rest } = form.value;
  const body = {
    ...rest,
    tags: to.value === 'tags' ? tags : '',
    mob,
    colour: to.value === 'colour' ? colour : '',
  };
  const answer = await send<{ saved: boolean; errors: string[] }>('/api/treatments/add', body);
  if (answer === null) return;
  errors.value = answer.errors;
  added.value = answer.saved;
  if (!answer.saved) return;
  form.value = EMPTY;
  await openRecord();
}

function Errors({ of }: { of: string[] }) {
  if (of.length === 0) return null;
  return (
    <div class="wrong" role="alert" data-testid="treatment-errors">
      {of.map((one) => (
        <p key={one}>{one}</p>
      ))}
    </div>
  );
}

function AddForm() {
  const now = form.value;
  return (
    <fieldset class="card">
      <legend>{planWords.treatTitle}</legend>
      <Text
        label={planWords.product}
        value={now.product}
        onChange={(product) => set({ product })}
      />
      <div class="pair">
        <Text
          type="date"
          label={planWords.given}
          value={now.given}
          onChange={(given) => set({ given })}
        />
        <Text label={planWords.batch} value={now.batch} onChange={(batch) => set({ batch })} />
      </div>
      <Text
        label={planWords.days}
        hint={planWords.daysHint}
        value={now.days}
        onChange={(days) => set({ days })}
      />
      <Choice
        label={planWords.useKind}
        value={now.use}
        choices={USES.map((use) => [use, planWords.uses[use]] as const)}
        onChange={(use) => set({ use })}
      />
      <Choice
        label={planWords.givenTo}
        value={to.value}
        choices={[
          ['tags', planWords.toTags],
          ['mob', planWords.toMob],
          ['colour', planWords.toColour],
        ]}
        onChange={(kind) => {
          to.value = kind;
        }}
      />
      {to.value === 'tags' ? (
        <Field label={planWords.toTags} hint={planWords.tagsHint}>
          <textarea
            rows={3}
            inputMode="numeric"
            value={now.tags}
            onInput={(event) => {
              set({ tags: event.currentTarget.value });
            }}
          />
        </Field>
      ) : null}
      {to.value === 'colour' ? (
        <Text label={planWords.colour} value={now.colour} onChange={(colour) => set({ colour })} />
      ) : null}
      <Text label={planWords.mob} value={now.mob} onChange={(mob) => set({ mob })} />
      <Errors of={errors.value} />
      <p role="status" data-testid="treatment-says">
        {added.value ? planWords.saved : ''}
      </p>
      <button type="button" class="act" onClick={() => void add()}>
        <b>{planWords.add}</b>
      </button>
    </fieldset>
  );
}

function whom({ tags, firstTags, mob, colour }: ShownTreatment): string {
  const said = [
    tags === 0 ? null : tags === 1 ? (firstTags[0] ?? null) : planWords.tagCount(tags),
    colour === null ? null : `${planWords.toColour} ${colour}`,
    mob,
  ];
  return said.filter((one) => one !== null).join(', ');
}

function until({ open, freeOn }: ShownTreatment): string {
  if (freeOn === null) return planWords.freeUnknown;
  return open ? planWords.freeOn(freeOn) : planWords.freeSince(freeOn);
}

/** Only this lifts a hold: the record says what is right, and keeps what it said before. */
function Correct({ one, at, done }: { one: ShownTreatment; at: number; done: () => void }) {
  const [given, setGiven] = useState(one.given);
  const [days, setDays] = useState(one.days === null ? 'unclear' : String(one.days));
  const [why, setWhy] = useState('');
  const [wrong, setWrong] = useState<string[]>([]);
  const put = async (right: { given: string; days: string } | null): Promise<void> => {
    const body = { record: record.value?.record ?? '', at, right, why };
    const answer = await send<{ saved: boolean; errors: string[] }>(
      '/api/treatments/correct',
      body,
    );
    if (answer === null) return;
    setWrong(answer.errors);
    if (!answer.saved) return;
    await openRecord();
    done();
  };
  const nothing = why.trim() === '';
  return (
    <>
      <div class="pair">
        <Text type="date" label={planWords.given} value={given} onChange={setGiven} />
        <Text label={planWords.days} value={days} onChange={setDays} />
      </div>
      <Text label={planWords.why} value={why} onChange={setWhy} />
      <Errors of={wrong} />
      <div class="pair">
        <button
          type="button"
          class="small"
          disabled={nothing}
          onClick={() => void put({ given, days })}
        >
          {planWords.putRight}
        </button>
        <button type="button" class="small" disabled={nothing} onClick={() => void put(null)}>
          {planWords.never}
        </button>
      </div>
      <button type="button" class="small" onClick={done}>
        {planWords.close}
      </button>
    </>
  );
}

/** What was given to whom, until when it holds; and one more. */
export function Treatments() {
  const [open, setOpen] = useState<number | null>(null);
  const known = record.value?.treatments ?? [];
  const farm = record.value?.farm ?? null;
  return (
    <>
      <p class="caution">{planWords.caution}</p>
      <section>
        <h2>{planWords.record}</h2>
        {farm === null ? null : <p>{planWords.ofFarm(farm)}</p>}
        {known.length === 0 ? <p>{planWords.noneOnRecord}</p> : null}
        <ul class="rows">
          {known.map((one, at) => (
            <li key={at} class={one.open ? 'open' : ''} data-treatment={one.product}>
              <b>{one.product}</b> {one.batch}
              <span>{whom(one)}</span>
              <span>
                {one.given}, {planWords.uses[one.use]}
                {one.period === null ? '' : `, ${planWords.period(one.period)}`}
              </span>
              <strong>{until(one)}</strong>
              {open === at ? (
                <Correct one={one} at={at} done={() => setOpen(null)} />
              ) : (
                <button type="button" class="small" onClick={() => setOpen(at)}>
                  {planWords.correct}
                </button>
              )}
            </li>
          ))}
        </ul>
      </section>
      <AddForm />
      {record.value === null ? null : <p class="hint">{record.value.offLabel.source}</p>}
    </>
  );
}
