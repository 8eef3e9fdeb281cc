import { signal } from '@preact/signals';
import { planWords } from '../words/plan.ts';
import { Choice, Field, Text } from './fields.tsx';
import { lists, openLists, openRecord, type Preview, type RowError } from './lists.ts';
import { send } from './state.ts';

type Kind = 'tags' | 'treatments' | 'weights';
const KINDS: Kind[] = ['tags', 'treatments', 'weights'];

const kind = signal<Kind>('tags');
const file = signal('keep-back.csv');
const text = signal('');
const seen = signal<{ preview: Preview | null; errors: RowError[] } | null>(null);
const taken = signal(false);

function given(change: { text?: string; file?: string; kind?: Kind }): void {
  if (change.text !== undefined) text.value = change.text;
  if (change.file !== undefined) file.value = change.file;
  if (change.kind !== undefined) kind.value = change.kind;
  seen.value = null;
  taken.value = false;
}

async function give(how: 'check' | 'save'): Promise<void> {
  const named = file.value.endsWith('.csv') ? file.value : `${file.value}.csv`;
  const body = { kind: kind.value, file: named, text: text.value };
  const answer = await send<{ preview?: Preview | null; errors: RowError[]; saved?: boolean }>(
    `/api/lists/${how}`,
    body,
  );
  if (answer === null) return;
  seen.value = { preview: answer.preview ?? null, errors: answer.errors };
  taken.value = answer.saved === true;
  if (!taken.value) return;
  text.value = '';
  await Promise.all([openLists(), openRecord()]);
}

function Seen() {
  const { preview, errors } = seen.value ?? { preview: null, errors: [] };
  if (errors.length > 0)
    return (
      <div class="wrong" role="alert" data-testid="row-errors">
        <b>{planWords.rowErrors(errors.length)}</b>
        <ul>
          {errors.map(({ line, column, message, remedy }) => (
            <li key={`${String(line)} ${String(column)} ${message}`}>
              <b>{planWords.line(line)}</b> {message}. {remedy}
            </li>
          ))}
        </ul>
      </div>
    );
  if (preview === null) return null;
  return (
    <div data-testid="preview">
      <p>
        <b>{planWords.rows(preview.rows)}</b>
        {preview.repeated > 0 ? `, ${planWords.repeated(preview.repeated)}` : ''}
      </p>
      {preview.unused.length > 0 ? (
        <p>{planWords.unusedColumns(preview.unused.join(', '))}</p>
      ) : null}
      <div class="wide" tabIndex={0} role="region" aria-label={planWords.preview}>
        <table>
          <thead>
            <tr>
              {preview.columns.map((name) => (
                <th scope="col" key={name}>
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {preview.first.map((row, at) => (
              <tr key={at}>
                {row.map((cell, place) => (
                  <td key={place}>{cell}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <button type="button" class="act" onClick={() => void give('save')}>
        <b>{planWords.take}</b>
      </button>
    </div>
  );
}

/** Tag lists that there are, and what comes from a spreadsheet: looked at first, all of it or nothing. */
export function Lists() {
  return (
    <>
      <fieldset class="card">
        <legend>{planWords.importTitle}</legend>
        <Choice
          label={planWords.whatKind}
          value={kind.value}
          choices={KINDS.map((one) => [one, planWords.kinds[one]] as const)}
          onChange={(one) => given({ kind: one })}
        />
        {kind.value === 'tags' ? (
          <Text
            label={planWords.listName}
            value={file.value}
            onChange={(name) => given({ file: name })}
          />
        ) : null}
        <Field label={planWords.chooseFile}>
          <input
            type="file"
            accept=".csv,.txt,text/csv,text/plain"
            onChange={(event) => {
              const chosen = event.currentTarget.files?.[0];
              if (chosen !== undefined) void chosen.text().then((read) => given({ text: read }));
            }}
          />
        </Field>
        <Field label={planWords.paste}>
          <textarea
            rows={4}
            value={text.value}
            onInput={(event) => {
              given({ text: event.currentTarget.value });
            }}
          />
        </Field>
        <p class="hint">{planWords.allOrNothing}</p>
        <button
          type="button"
          class="act"
          disabled={text.value.trim() === ''}
          onClick={() => void give('check')}
        >
          <b>{planWords.preview}</b>
        </button>
        <p role="status" data-testid="list-says">
          {taken.value ? planWords.saved : ''}
        </p>
        <Seen />
      </fieldset>
      <section>
        <h2>{planWords.listsThere}</h2>
        {lists.value.length === 0 ? <p>{planWords.noLists}</p> : null}
        <ul class="rows">
          {lists.value.map(({ file: name, usedBy }) => (
            <li key={name}>
              <b>{name}</b>{' '}
              {usedBy.length === 0 ? planWords.unusedList : planWords.usedBy(usedBy.join(', '))}
            </li>
          ))}
        </ul>
      </section>
    </>
  );
}
