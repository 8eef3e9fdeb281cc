import { useEffect, useRef, useState } from 'preact/hooks';
import type { ComponentChildren } from 'preact';

/** A finger that never comes up again swallows nothing after this, ms. */
const LOST_MS = 5000;
const AFTER_MS = 400;

/** Letting go must not tap what has come to lie under the finger meanwhile. */
function swallowRelease(): void {
  const swallow = (event: Event): void => {
    event.stopPropagation();
    event.preventDefault();
  };
  const free = (): void => removeEventListener('click', swallow, true);
  addEventListener('click', swallow, true);
  for (const end of ['pointerup', 'pointercancel', 'keyup']) {
    addEventListener(end, () => setTimeout(free, AFTER_MS), { once: true });
  }
  setTimeout(free, LOST_MS);
}

/**
 * Acts after it was held for `ms` without a break. Letting go, sliding off, a second finger, a
 * hidden page or lost focus begin anew; a short press does nothing.
 */
export function HoldButton(props: {
  ms: number;
  disabled: boolean;
  onHeld: () => void;
  children: ComponentChildren;
  holding: string;
}) {
  const [held, setHeld] = useState(false);
  const timer = useRef(0);
  const end = (): void => {
    clearTimeout(timer.current);
    timer.current = 0;
    setHeld(false);
  };
  const begin = (): void => {
    if (timer.current !== 0 || props.disabled) return;
    setHeld(true);
    timer.current = window.setTimeout(() => {
      end();
      swallowRelease();
      props.onHeld();
    }, props.ms);
  };
  useEffect(() => {
    addEventListener('blur', end);
    document.addEventListener('visibilitychange', end);
    return () => {
      end();
      removeEventListener('blur', end);
      document.removeEventListener('visibilitychange', end);
    };
  }, []);
  return (
    <button
      type="button"
      class={`act hold ${held ? 'held' : ''}`}
      disabled={props.disabled}
      style={{ '--hold': `${String(props.ms)}ms` }}
      onPointerDown={(event) => {
        if (event.isPrimary && event.button === 0) begin();
        else end();
      }}
      onPointerUp={end}
      onPointerCancel={end}
      onPointerLeave={end}
      onContextMenu={(event) => {
        event.preventDefault();
      }}
      onKeyDown={(event) => {
        if (event.key === ' ' || event.key === 'Enter') begin();
      }}
      onKeyUp={end}
      onBlur={end}
    >
      {held ? <b>{props.holding}</b> : props.children}
    </button>
  );
}
