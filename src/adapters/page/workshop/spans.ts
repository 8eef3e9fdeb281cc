/** When something was on: a contact, an output, a link, a mode. Pure. */

/** From and to, ms. */
export type Span = [number, number];

/** Spans of one line that are kept; more are joined where they lie closest. */
const MOST = 600;

export interface Line {
  set(t: number, on: boolean): void;
  /** Spans within the window, the last one until `endMs`; joined where gaps are narrower than asked. */
  read(endMs: number, joinMs: number): { spans: Span[]; joined: boolean };
}

export function createLine(fromMs: number, toMs: number): Line {
  let spans: Span[] = [];
  let since: number | null = null;
  let joined = false;
  let closest = 20;
  const join = (gapMs: number): void => {
    const fewer: Span[] = [];
    for (const [from, to] of spans) {
      const last = fewer.at(-1);
      if (last !== undefined && from - last[1] < gapMs) {
        last[1] = to;
        joined = true;
      } else fewer.push([from, to]);
    }
    spans = fewer;
  };
  const end = (t: number): void => {
    if (since === null) return;
    const span: Span = [Math.max(since, fromMs), Math.min(t, toMs)];
    since = null;
    if (span[1] < fromMs || span[0] > toMs) return;
    spans.push(span);
    for (; spans.length > MOST; closest *= 2) join(closest);
  };
  return {
    set(t, on) {
      if (on) since ??= t;
      else end(t);
    },
    read(endMs, joinMs) {
      end(endMs);
      join(joinMs);
      return { spans, joined };
    },
  };
}
