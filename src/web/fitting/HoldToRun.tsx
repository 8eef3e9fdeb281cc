import { useEffect, useRef, useState } from 'preact/hooks';
import { fittingWords } from '../words/fitting.ts';
import { words } from '../words/en.ts';
import { press } from './press.ts';
import { live } from './state.ts';

/** The longest press, as the interlock has it, ms. */
const LONGEST_MS = 30_000;

interface Press {
  held: boolean;
  /** Why it ended before the finger went, in words. */
  says: string | null;
  begin: (id: number | 'key') => void;
  /** A finger is on the button. */
  going: () => boolean;
  end: () => void;
}

/** One button's press, and all that ends it besides the button's own events. */
function usePress(output: string): Press {
  const [says, setSays] = useState<string | null>(null);
  const [held, setHeld] = useState(false);
  const finger = useRef<{ id: number | 'key'; turn: number } | null>(null);
  const turn = useRef(0);
  const end = (): void => {
    finger.current = null;
    setHeld(false);
  };
  const begin = (id: number | 'key'): void => {
    if (finger.current !== null) return;
    turn.current += 1;
    const mine = turn.current;
    const beganMs = performance.now();
    finger.current = { id, turn: mine };
    setHeld(true);
    setSays(null);
    const still = (): boolean =>
      finger.current?.turn === mine &&
      !document.hidden &&
      document.hasFocus() &&
      performance.now() - beganMs < LONGEST_MS;
    void press(output, still).then((over) => {
      if (finger.current?.turn === mine) end();
      if (over === null) return;
      const { refusal } = over;
      if (refusal === null) setSays(words.refusal['no-answer']);
      else setSays(refusal.error === 'refused' ? refusal.reason : words.refusal[refusal.error]);
    });
  };
  useEffect(() => {
    // A second finger anywhere on the page ends it.
    const another = (event: PointerEvent): void => {
      if (finger.current !== null && event.pointerId !== finger.current.id) end();
    };
    addEventListener('pointerdown', another, true);
    for (const name of ['blur', 'pagehide']) addEventListener(name, end);
    document.addEventListener('visibilitychange', end);
    document.addEventListener('freeze', end);
    return () => {
      end();
      removeEventListener('pointerdown', another, true);
      for (const name of ['blur', 'pagehide']) removeEventListener(name, end);
      document.removeEventListener('visibilitychange', end);
      document.removeEventListener('freeze', end);
    };
  }, []);
  return { held, says, begin, going: () => finger.current !== null, end };
}

/**
 * Moves one leaf while a finger is on it. Lifting, sliding off, a second finger, a lost pointer, another
 * window or a dark screen end the press; only a new one moves again.
 */
export function HoldToRun({ output, label }: { output: string; label: string }) {
  const { held, says, begin, going, end } = usePress(output);
  const moves = live.value?.moving.includes(output) ?? false;
  return (
    <div class="run">
      <button
        type="button"
        class={`act torun ${held ? 'on' : ''}`}
        data-output={output}
        data-held={held}
        onPointerDown={(event) => {
          if (!event.isPrimary || event.button !== 0) return;
          event.currentTarget.setPointerCapture(event.pointerId);
          begin(event.pointerId);
        }}
        onPointerMove={(event) => {
          if (going() && !isOver(event)) end();
        }}
        onPointerUp={end}
        onPointerCancel={end}
        onLostPointerCapture={end}
        onContextMenu={(event) => {
          event.preventDefault();
        }}
        onKeyDown={(event) => {
          if (event.key === ' ' || event.key === 'Enter') event.preventDefault();
          if (event.key === ' ' && !event.repeat) begin('key');
        }}
        onKeyUp={end}
        onBlur={end}
      >
        <b>{label}</b>
        <span>{held ? (moves ? fittingWords.moves : fittingWords.waits) : fittingWords.hold}</span>
      </button>
      <p role="status" class="said bad">
        {says}
      </p>
    </div>
  );
}

function isOver(event: PointerEvent & { currentTarget: HTMLElement }): boolean {
  const box = event.currentTarget.getBoundingClientRect();
  const { clientX: x, clientY: y } = event;
  return x >= box.left && x <= box.right && y >= box.top && y <= box.bottom;
}
