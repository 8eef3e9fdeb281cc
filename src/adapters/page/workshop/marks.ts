/** What happened at one moment of a trace. Pure. */
export interface Mark {
  t: number;
  kind:
    | 'decided'
    | 'not-sure'
    | 'let-go'
    | 'backed-out'
    | 'refused'
    | 'call'
    | 'fault'
    | 'fault-gone'
    | 'mode'
    | 'zero'
    | 'stroke-cut'
    | 'command'
    | 'tag';
  animal: number | null;
  kg: number | null;
  /** As the core says it. */
  text: string;
}

const MOST = 400;
/** They come with every animal; whatever else happens is looked for first. */
const USUAL: ReadonlySet<Mark['kind']> = new Set(['decided', 'let-go', 'command', 'tag']);

/** Keeps the last marks, those with every animal apart from the others. */
export function createMarks(): {
  add(mark: Mark): void;
  read(): { marks: Mark[]; leftOut: number };
} {
  const usual: Mark[] = [];
  const others: Mark[] = [];
  let leftOut = 0;
  return {
    add(mark) {
      const list = USUAL.has(mark.kind) ? usual : others;
      list.push(mark);
      // Twice as many before they are cut, so that not every mark moves them all.
      if (list.length < 2 * MOST) return;
      list.splice(0, MOST);
      leftOut += MOST;
    },
    read() {
      const extra = Math.max(0, usual.length - MOST) + Math.max(0, others.length - MOST);
      const marks = [...usual.slice(-MOST), ...others.slice(-MOST)].sort((a, b) => a.t - b.t);
      return { marks, leftOut: leftOut + extra };
    },
  };
}
