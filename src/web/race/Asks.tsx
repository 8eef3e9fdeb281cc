import type { ComponentChildren } from 'preact';
import { command, control, faultTexts, isLive, race, takeOver } from '../store.ts';
import { words } from '../words/en.ts';
import { Answers } from './Answers.tsx';
import { HoldButton } from './HoldButton.tsx';
import { locked } from './rain.ts';

/** What Fank waits for from a person, each with its one button. */
export function Asks() {
  const asks = isLive.value ? (race.value?.asks ?? []) : [];
  const held = isLive.value && race.value?.faults.some(({ name }) => name === 'held-long') === true;
  if (asks.length === 0 && !held) return null;
  return (
    <section class="asks" role="alert">
      {asks.includes('unsure') && !held ? <p data-testid="ask-unsure">{words.askUnsure}</p> : null}
      {asks.includes('full') ? <p data-testid="ask-full">{words.askFull}</p> : null}
      <Answers />
      {asks.includes('tags') ? (
        <>
          <p data-testid="ask-tags">{words.askTags}</p>
          <div class="offered">
            <button
              type="button"
              class="act"
              onClick={() => void command({ do: 'answer', answer: 'carry-on-without-tags' })}
            >
              <b>{words.withoutTags}</b>
            </button>
            <button
              type="button"
              class="act"
              onClick={() => void command({ do: 'answer', answer: 'with-tags' })}
            >
              <b>{words.goOnWithTags}</b>
            </button>
          </div>
        </>
      ) : null}
      {asks.includes('lane') ? (
        <Word onSaid={() => void command({ do: 'confirm', what: 'lane' })}>
          <span>{words.askLane}</span>
          <b>{words.laneClear}</b>
        </Word>
      ) : null}
      {asks.includes('crate') ? (
        <Word onSaid={() => void command({ do: 'confirm', what: 'crate' })}>
          <span>{words.askCrate}</span>
          <b>{words.crateEmpty}</b>
        </Word>
      ) : null}
      {asks.includes('clear') ? (
        <Word onSaid={() => void command({ do: 'clear' })}>
          <b>{words.clear}</b>
        </Word>
      ) : null}
    </section>
  );
}

const WORD_MS = 1000;

/** Somebody has looked: one tap; held for a second under the rain lock, since no drop has looked. */
function Word({ onSaid, children }: { onSaid: () => void; children: ComponentChildren }) {
  if (!locked.value) {
    return (
      <button type="button" class="act" onClick={onSaid}>
        {children}
      </button>
    );
  }
  return (
    <HoldButton ms={WORD_MS} disabled={false} holding={words.holding} onHeld={onSaid}>
      {children}
    </HoldButton>
  );
}

/** Faults, each with what happened, why, and what to do. */
export function Faults() {
  const faults = isLive.value ? (race.value?.faults ?? []) : [];
  if (faults.length === 0) return null;
  return (
    <section class="faults" role="alert">
      <h2>{words.faults}</h2>
      <ul>
        {faults.map(({ name, detail }) => {
          const text = faultTexts.value[name];
          return (
            <li key={name} data-fault={name}>
              <b>{text?.what ?? name}</b>
              {detail === null ? null : <span>{detail}</span>}
              {text === undefined ? null : (
                <>
                  <span>
                    {words.cause}: {text.cause}
                  </span>
                  <span>
                    <strong>{words.remedy}:</strong> {text.remedy}
                  </span>
                </>
              )}
            </li>
          );
        })}
      </ul>
    </section>
  );
}

/** Which device holds manual control. */
export function Control() {
  if (!isLive.value) return null;
  const holder = control.value;
  if (holder === 'nobody') return null;
  return (
    <section class="control">
      <p data-testid="control">
        {holder === 'me' ? words.haveControl : words.otherHasControl(holder)}
      </p>
      {holder === 'me' ? null : (
        <button type="button" class="small" onClick={() => void takeOver()}>
          {words.takeOver}
        </button>
      )}
    </section>
  );
}
