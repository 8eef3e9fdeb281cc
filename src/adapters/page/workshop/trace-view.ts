/** What one trace looks like over time: weight, states, contacts, outputs, decisions. Pure. */
import type { FaultName } from '../../../core/faults/table.ts';
import type { Event, Input, Mode, TraceHeader } from '../../../core/trace.ts';
import { parseHeader, parseLine, type KeptRecord } from '../../../core/trace-codec.ts';
import { createColumns, type Columns } from './columns.ts';
import { NoTrace } from './contracts.ts';
import { createMarks, type Mark } from './marks.ts';
import { createLine, type Line, type Span } from './spans.ts';

/** How an animal stands: on the way from coming on to gone. */
export type AnimalState = 'weighing' | 'decided' | 'not-sure' | 'ready' | 'leaving';

export interface Band {
  animal: number;
  state: AnimalState;
  span: Span;
}

export interface TraceView {
  startedAt: string | null;
  fank: string | null;
  plan: string | null;
  /** ms of the last record; the trace begins at 0. */
  lengthMs: number;
  /** What is shown of it, ms. */
  window: Span;
  weight: Columns;
  modes: { mode: Mode; span: Span }[];
  bands: Band[];
  /** Contacts and buttons, outputs, links: when each was on. */
  lines: { name: string; kind: 'input' | 'output' | 'link'; spans: Span[]; joined: boolean }[];
  marks: Mark[];
  /** Of marks, bands and lines: what there was no room for. */
  leftOut: number;
  /** Lines of the file that are no records. */
  broken: number;
}

const MOST_BANDS = 2400;
const MOST_LINES = 64;
const MODES: readonly string[] = ['stopped', 'fitting', 'homing', 'running', 'paused', 'fault'];

type LineKind = TraceView['lines'][number]['kind'];

/** Takes the lines of a trace in, one after the other. */
export class TraceViewer {
  readonly #from: number;
  readonly #to: number;
  readonly #columns = createColumns();
  readonly #marks = createMarks();
  readonly #lines = new Map<string, { name: string; kind: LineKind; line: Line }>();
  #header: TraceHeader | null = null;
  #t = 0;
  #modes: TraceView['modes'] = [];
  #bands: Band[] = [];
  #open: { animal: number; state: AnimalState; since: number } | null = null;
  #leftOut = 0;
  #broken = 0;

  /** @param window ms; null: the whole of it */
  constructor(window: Span | null) {
    [this.#from, this.#to] = window ?? [0, Infinity];
  }

  take(text: string): void {
    if (this.#header === null) {
      this.#begin(text);
      return;
    }
    if (text.trim() === '') return;
    const parsed = parseLine(text);
    if (parsed.kind === 'broken') this.#broken += 1;
    if (parsed.kind === 'unknown' || parsed.kind === 'broken') return;
    const { record } = parsed;
    if (record.t < this.#t) this.#broken += 1;
    else this.#record(record);
  }

  read(): TraceView {
    const header = this.#header;
    if (header === null) throw new NoTrace('This is no trace: it is empty.');
    const end = Math.min(this.#t, this.#to);
    this.#state(end, null);
    const weight = this.#columns.read();
    const joinMs = weight.widthMs > 20 ? weight.widthMs : 0;
    const { marks, leftOut } = this.#marks.read();
    return {
      startedAt: header.startedAt,
      fank: header.fank ?? null,
      plan: header.config?.plan.name ?? null,
      lengthMs: this.#t,
      window: [Math.min(this.#from, end), end],
      weight,
      modes: this.#modesUntil(end),
      bands: this.#bands,
      lines: [...this.#lines.values()].map(({ name, kind, line }) => {
        return { name, kind, ...line.read(end, joinMs) };
      }),
      marks,
      leftOut: this.#leftOut + leftOut,
      broken: this.#broken,
    };
  }

  #begin(text: string): void {
    const header = parseHeader(text);
    if (typeof header === 'string') throw new NoTrace(`This is no trace: ${header}.`);
    this.#header = header;
    for (const name of header.inputs) this.#line(name, 'input');
  }

  #record(record: Input | KeptRecord): void {
    const { t } = record;
    this.#t = t;
    if ('kg' in record) {
      if (this.#shows(t)) this.#columns.add(t, record.kg);
    } else if ('input' in record) this.#line(record.input, 'input')?.set(t, record.on);
    else if ('output' in record) this.#line(record.output, 'output')?.set(t, record.on);
    else if ('link' in record) this.#line(record.link, 'link')?.set(t, record.up);
    else if ('state' in record) this.#resume(t, record.state);
    else if ('event' in record) this.#event(t, record.event);
    else if ('command' in record) this.#say(t, 'command', record.command.do, null);
    else if ('tag' in record) this.#say(t, 'tag', record.tag, null);
  }

  #event(t: number, event: Event): void {
    const state = stateAfter(event);
    if (event.kind === 'mode') this.#mode(t, event.mode);
    if (state !== null) this.#state(t, state);
    const said = wordsOf(event);
    if (said !== null) this.#say(t, said.kind, said.text, said.animal ?? null, said.kg ?? null);
  }

  /** A trace that goes on from another begins with the state that was reached. */
  #resume(t: number, state: unknown): void {
    const known = state as {
      cycle?: { mode?: unknown };
      contacts?: { inputs?: Record<string, { raw?: unknown }> };
    } | null;
    const mode = known?.cycle?.mode;
    if (typeof mode === 'string' && MODES.includes(mode)) this.#mode(t, mode as Mode);
    for (const [name, contact] of Object.entries(known?.contacts?.inputs ?? {})) {
      if (contact.raw === true) this.#line(name, 'input')?.set(t, true);
    }
  }

  #shows(t: number): boolean {
    return t >= this.#from && t <= this.#to;
  }

  #say(
    t: number,
    kind: Mark['kind'],
    text: string,
    animal: number | null,
    kg: number | null = null,
  ) {
    if (this.#shows(t)) this.#marks.add({ t, kind, text: text.slice(0, 160), animal, kg });
  }

  #line(name: string, kind: LineKind): Line | null {
    const key = `${kind} ${name}`;
    const known = this.#lines.get(key);
    if (known !== undefined) return known.line;
    if (this.#lines.size >= MOST_LINES) {
      this.#leftOut += 1;
      return null;
    }
    const line = createLine(this.#from, this.#to);
    this.#lines.set(key, { name: name.slice(0, 40), kind, line });
    return line;
  }

  #mode(t: number, mode: Mode): void {
    const last = this.#modes.at(-1);
    if (last !== undefined) last.span[1] = t;
    if (this.#modes.length < MOST_BANDS) this.#modes.push({ mode, span: [t, Infinity] });
    else this.#leftOut += 1;
  }

  #modesUntil(end: number): TraceView['modes'] {
    return this.#modes
      .map(({ mode, span: [from, to] }) => {
        const span: Span = [Math.max(from, this.#from), Math.min(to, end)];
        return { mode, span };
      })
      .filter(({ span: [from, to] }) => to > from);
  }

  /** The animal on the crate is in another state from `t` on; null: nobody is on. */
  #state(t: number, next: { animal: number; state: AnimalState | null } | null): void {
    const open = this.#open;
    if (open !== null) {
      const span: Span = [Math.max(open.since, this.#from), Math.min(t, this.#to)];
      if (span[1] > span[0]) {
        if (this.#bands.length < MOST_BANDS)
          this.#bands.push({ animal: open.animal, state: open.state, span });
        else this.#leftOut += 1;
      }
    }
    const state = next?.state ?? null;
    this.#open = next === null || state === null ? null : { animal: next.animal, state, since: t };
  }
}

function stateAfter(event: Event): { animal: number; state: AnimalState | null } | null {
  switch (event.kind) {
    case 'on':
      return { animal: event.animal, state: 'weighing' };
    case 'decided':
      return { animal: event.animal, state: 'decided' };
    case 'unsure':
      return { animal: event.animal, state: 'not-sure' };
    case 'ready':
      return { animal: event.animal, state: 'ready' };
    case 'let-go':
      return { animal: event.crossing.animal, state: 'leaving' };
    case 'left':
      return { animal: event.crossing.animal, state: null };
    case 'backed-out':
      return { animal: event.animal, state: null };
    default:
      return null;
  }
}

type Said = Pick<Mark, 'kind' | 'text'> & { animal?: number; kg?: number | null };

/** What of an event is worth a mark; null: it shows in the bands. */
function wordsOf(event: Event): Said | null {
  switch (event.kind) {
    case 'decided': {
      const { animal, kg, lot, exit, reason } = event;
      return { kind: 'decided', animal, kg, text: `${lot ?? exit ?? ''}: ${reason}` };
    }
    case 'unsure':
      return { kind: 'not-sure', animal: event.animal, text: event.reason };
    case 'let-go': {
      const { animal, recordedKg: kg, exit, flags } = event.crossing;
      return { kind: 'let-go', animal, kg, text: [exit ?? '', ...flags].join(', ') };
    }
    case 'backed-out':
      return { kind: 'backed-out', animal: event.animal, text: '' };
    case 'refused':
      return { kind: 'refused', text: event.reason };
    case 'call':
      return { kind: 'call', text: event.reason };
    case 'fault': {
      const fault: FaultName = event.fault;
      const text = event.detail === undefined ? fault : `${fault}: ${event.detail}`;
      return { kind: event.on ? 'fault' : 'fault-gone', text };
    }
    case 'mode':
      return { kind: 'mode', text: event.why };
    case 'zero':
      return { kind: 'zero', text: event.offsetKg.toFixed(2) };
    case 'stroke':
      return event.phase === 'cut' ? { kind: 'stroke-cut', text: event.leaf } : null;
    default:
      return null;
  }
}
