import { useEffect, useRef, useState } from 'preact/hooks';
import type { ComponentChildren } from 'preact';

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
    timer.current = setTimeout(() => {
      end();
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
      onTouchStart={(event) => {
        // Or letting go would tap what has come to lie under the finger meanwhile.
        event.preventDefault();
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
