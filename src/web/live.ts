import type { Layout, LiveBeat, LiveNow } from '../adapters/page/messages.ts';

/** After the stream broke it is opened again after this, ms. */
const AGAIN_MS = 1000;
/** A stream that has said nothing for this long is broken, whatever the browser believes, ms. */
const DEAF_MS = 3000;

export interface LiveEars {
  layout(layout: Layout): void;
  word(word: LiveNow | LiveBeat): void;
  /** The page is shown again: what it shows is from before. */
  woke(): void;
  /** True when words lag so much that a fresh stream is better. */
  lags(): boolean;
}

/**
 * Keeps one live stream open while the page is seen, and none while it is hidden. Opens it again
 * when it breaks, falls silent, or lags behind (the words of a choked line are all old).
 */
export function keepLive(ears: LiveEars): { again(): void } {
  let source: EventSource | null = null;
  let timer = 0;
  let heardMs = 0;

  const close = (): void => {
    clearTimeout(timer);
    source?.close();
    source = null;
  };
  const open = (): void => {
    close();
    if (document.hidden) return;
    heardMs = performance.now();
    const opened = new EventSource('/api/live');
    source = opened;
    const on = (name: string, then: (data: unknown) => void): void => {
      opened.addEventListener(name, (event: MessageEvent<string>) => {
        if (source !== opened) return;
        heardMs = performance.now();
        then(JSON.parse(event.data));
      });
    };
    on('layout', (layout) => ears.layout(layout as Layout));
    on('now', (now) => ears.word(now as LiveNow));
    on('beat', (beat) => ears.word(beat as LiveBeat));
    opened.addEventListener('error', () => {
      if (source === opened) later();
    });
  };
  const later = (): void => {
    close();
    timer = window.setTimeout(open, AGAIN_MS);
  };

  document.addEventListener('visibilitychange', () => {
    if (document.hidden) {
      close();
    } else {
      ears.woke();
      open();
    }
  });
  addEventListener('pagehide', close);
  addEventListener('pageshow', (event) => {
    if (event.persisted) ears.woke();
    if (source === null) open();
  });
  addEventListener('online', open);
  setInterval(() => {
    if (source === null) return;
    if (performance.now() - heardMs > DEAF_MS || ears.lags()) later();
  }, 500);
  open();
  return { again: open };
}
