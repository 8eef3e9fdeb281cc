import { useEffect, useRef, useState } from 'preact/hooks';
import { look, dress, type Look } from './look.ts';
import { go, Places } from './places.tsx';
import { locked } from './race/rain.ts';
import { Devices } from './Devices.tsx';
import { LinkPanel } from './LinkPanel.tsx';
import { me, notice, sheet, signIn, signOut } from './store.ts';
import { words } from './words/en.ts';

const KEYS = ['1', '2', '3', '4', '5', '6', '7', '8', '9'];
const LONGEST = 12;

function close(): void {
  sheet.value = 'none';
}

function Keys({ onDigit, onBack }: { onDigit: (digit: string) => void; onBack: () => void }) {
  const digit = (key: string) => (
    <button type="button" key={key} onClick={() => onDigit(key)}>
      {key}
    </button>
  );
  return (
    <div class="keys">
      {KEYS.map(digit)}
      <button type="button" aria-label={words.pinBack} onClick={onBack}>
        ⌫
      </button>
      {digit('0')}
      <button type="button" onClick={close}>
        {words.close}
      </button>
    </div>
  );
}

/** The PIN by keys that a wet glove can hit; the phone's own keyboard stays away. */
export function SignIn() {
  const [pin, setPin] = useState('');
  const [says, setSays] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const field = useRef<HTMLInputElement>(null);
  useEffect(() => {
    field.current?.focus();
  }, []);
  const send = async (): Promise<void> => {
    if (busy || pin.length < 4) return;
    setBusy(true);
    const wrong = await signIn(pin);
    setBusy(false);
    setPin('');
    setSays(wrong);
    if (wrong === null) close();
  };
  return (
    <form
      class="sheet"
      aria-label={words.signIn}
      onSubmit={(event) => {
        event.preventDefault();
        void send();
      }}
    >
      <label>
        {words.pinAsk}
        <input
          ref={field}
          type="password"
          inputMode="none"
          autocomplete="off"
          value={pin}
          onInput={(event) => {
            setPin(event.currentTarget.value.replace(/\D/g, '').slice(0, LONGEST));
          }}
        />
      </label>
      <p role="alert" class="says" data-testid="pin-says">
        {says}
      </p>
      <Keys
        onDigit={(digit) => {
          setPin((before) => (before.length < LONGEST ? before + digit : before));
        }}
        onBack={() => {
          setPin((before) => before.slice(0, -1));
        }}
      />
      <button type="submit" class="act" disabled={busy || pin.length < 4}>
        <b>{words.signIn}</b>
      </button>
    </form>
  );
}

/** Fetched when somebody wants it; only while the real race stands still. */
async function practiseNow(): Promise<void> {
  const { mayPractise, practise } = await import('./practice/run.ts');
  if (!mayPractise()) {
    notice.value = { text: words.practiceNot, bad: true };
    return;
  }
  practise();
  go('race');
  close();
}

function LookButton({ kind }: { kind: Look }) {
  return (
    <button
      type="button"
      class="act"
      aria-pressed={look.value === kind}
      onClick={() => {
        dress(kind);
      }}
    >
      <b>{words.looks[kind]}</b>
    </button>
  );
}

export function Menu() {
  const { role } = me.value;
  return (
    <section class="sheet" aria-label={words.menu}>
      <Places done={close} />
      <fieldset>
        <legend>{words.look}</legend>
        <LookButton kind="sun" />
        <LookButton kind="night" />
      </fieldset>
      <button type="button" class="act" onClick={() => void practiseNow()}>
        <b>{words.practise}</b>
        <span>{words.practiceMeans}</span>
      </button>
      <button
        type="button"
        class="act"
        data-testid="rain-lock"
        onClick={() => {
          locked.value = true;
          go('race');
          close();
        }}
      >
        <b>{words.rainLock}</b>
        <span>{words.rainMeans}</span>
      </button>
      {role === null ? (
        <button
          type="button"
          class="act"
          onClick={() => {
            sheet.value = 'sign-in';
          }}
        >
          <b>{words.signIn}</b>
        </button>
      ) : (
        <button
          type="button"
          class="act"
          onClick={() => {
            void signOut();
            close();
          }}
        >
          <b>{words.signOut}</b>
        </button>
      )}
      <Devices />
      <LinkPanel />
      <button type="button" class="act" onClick={close}>
        <b>{words.close}</b>
      </button>
    </section>
  );
}
