/** Fields that a wet glove can use, each with what is wrong with it beside it. */
import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { planWords } from '../words/plan.ts';
import { problems } from './state.ts';

type Path = (string | number)[];

/** What is wrong at a path, and below it where `below` says so. */
export function Wrong({ path, below }: { path: Path; below?: boolean }) {
  const found = problems.value.filter(
    (one) =>
      path.every((key, at) => String(one.path[at]) === String(key)) &&
      (below === true || one.path.length === path.length),
  );
  if (found.length === 0) return null;
  return (
    <p class="wrong" role="alert">
      {found.map(({ message, remedy }) => `${message}. ${remedy}`).join(' ')}
    </p>
  );
}

export function Field(props: {
  label: string;
  hint?: string;
  path?: Path;
  below?: boolean;
  children: ComponentChildren;
}) {
  return (
    <div class="field">
      <label>
        <span>{props.label}</span>
        {props.children}
      </label>
      {props.hint === undefined ? null : <p class="hint">{props.hint}</p>}
      {props.path === undefined ? null : <Wrong path={props.path} below={props.below === true} />}
    </div>
  );
}

export function Text(props: {
  label: string;
  hint?: string;
  path?: Path;
  value: string;
  type?: 'text' | 'date';
  onChange: (value: string) => void;
}) {
  const { label, hint, path, value } = props;
  const input = (event: { currentTarget: HTMLInputElement }): void => {
    props.onChange(event.currentTarget.value);
  };
  return (
    <Field
      label={label}
      {...(hint === undefined ? {} : { hint })}
      {...(path === undefined ? {} : { path })}
    >
      {props.type === 'date' ? (
        <input type="date" value={value} onInput={input} />
      ) : (
        <input type="text" autocomplete="off" value={value} onInput={input} />
      )}
    </Field>
  );
}

/** A name that others go by: it counts when it is written, not with each letter. */
export function Name(props: {
  label: string;
  path: Path;
  value: string;
  onChange: (value: string) => void;
}) {
  const [typed, setTyped] = useState<string | null>(null);
  return (
    <Field label={props.label} path={props.path}>
      <input
        type="text"
        autocomplete="off"
        value={typed ?? props.value}
        onInput={(event) => {
          setTyped(event.currentTarget.value);
        }}
        onChange={(event) => {
          setTyped(null);
          props.onChange(event.currentTarget.value.trim());
        }}
      />
    </Field>
  );
}

/** A number that keeps what is typed until it is one; null where the field is empty. */
export function Figure(props: {
  label: string;
  hint?: string;
  path: Path;
  value: number | null | undefined;
  onChange: (value: number | null) => void;
}) {
  const [typed, setTyped] = useState<string | null>(null);
  const take = (text: string): void => {
    setTyped(text);
    const value = Number(text.replace(',', '.'));
    if (text.trim() === '') props.onChange(null);
    else if (Number.isFinite(value)) props.onChange(value);
  };
  return (
    <Field
      label={props.label}
      path={props.path}
      {...(props.hint === undefined ? {} : { hint: props.hint })}
    >
      <input
        inputMode="decimal"
        autocomplete="off"
        value={typed ?? String(props.value ?? '')}
        onInput={(event) => {
          take(event.currentTarget.value);
        }}
        onBlur={() => {
          setTyped(null);
        }}
      />
    </Field>
  );
}

export function Choice<T extends string>(props: {
  label: string;
  path?: Path;
  value: T;
  choices: readonly (readonly [T, string])[];
  onChange: (value: T) => void;
}) {
  return (
    <Field
      label={props.label}
      {...(props.path === undefined ? {} : { path: props.path, below: true })}
    >
      <select
        value={props.value}
        onChange={(event) => {
          props.onChange(event.currentTarget.value as T);
        }}
      >
        {props.choices.map(([value, text]) => (
          <option key={value} value={value} selected={value === props.value}>
            {text}
          </option>
        ))}
      </select>
    </Field>
  );
}

export function Toggle(props: { on: boolean; onChange: (on: boolean) => void; children: string }) {
  return (
    <button
      type="button"
      class="small toggle"
      aria-pressed={props.on}
      onClick={() => {
        props.onChange(!props.on);
      }}
    >
      {props.children}
    </button>
  );
}

/** What is wrong with the plan as a whole, and how much is wrong elsewhere. */
export function Whole() {
  const count = problems.value.length;
  if (count === 0) return null;
  return (
    <div class="wrong" role="alert" data-testid="wrong">
      <b>{planWords.wrong(count)}</b>
      <Wrong path={[]} />
    </div>
  );
}
