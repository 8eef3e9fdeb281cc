/** Fields that a wet glove can use. */
import type { JSX, TargetedInputEvent } from 'preact';

export function Text(props: {
  label: string;
  value: string;
  set: (text: string) => void;
  type?: 'text' | 'date';
  decimal?: boolean;
}): JSX.Element {
  const { label, value, set, type = 'text', decimal = false } = props;
  const typed = (event: TargetedInputEvent<HTMLInputElement>): void => {
    set(event.currentTarget.value);
  };
  return (
    <label>
      <span>{label}</span>
      {type === 'date' ? (
        <input type="date" value={value} onInput={typed} />
      ) : (
        <input
          type="text"
          autocomplete="off"
          inputMode={decimal ? 'decimal' : 'text'}
          value={value}
          onInput={typed}
        />
      )}
    </label>
  );
}

/** One of a few, each a button of its own; tapping the one that is set takes it back. */
export function OneOf<T extends string>(props: {
  label: string;
  value: T | null;
  choices: readonly (readonly [T, string])[];
  set: (value: T | null) => void;
}): JSX.Element {
  const { label, value, choices, set } = props;
  return (
    <fieldset>
      <legend>{label}</legend>
      {choices.map(([one, text]) => (
        <button
          type="button"
          key={one}
          aria-pressed={value === one}
          onClick={() => {
            set(value === one ? null : one);
          }}
        >
          {text}
        </button>
      ))}
    </fieldset>
  );
}

export function Tap(props: { text: string; tap: () => void; big?: boolean; off?: boolean }) {
  return (
    <button
      type="button"
      class={props.big === true ? 'act' : 'tap'}
      disabled={props.off === true}
      onClick={props.tap}
    >
      {props.big === true ? <b>{props.text}</b> : props.text}
    </button>
  );
}
