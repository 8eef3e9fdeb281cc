/** What the workshop shows, and what it asks for. */
import { signal } from '@preact/signals';
import type { FaultOfDay } from '../../adapters/evening.ts';
import type { TraceOnCard } from '../../adapters/page/workshop/contracts.ts';
import type { Span } from '../../adapters/page/workshop/spans.ts';
import type { TraceView } from '../../adapters/page/workshop/trace-view.ts';
import type { Refusal } from '../../adapters/page/contracts.ts';
import { get } from '../api.ts';
import { workshopWords as words } from '../words/workshop.ts';

/** A trace as it is told: with the zone that its times are said in. */
export type Trace = TraceView & { name: string; zone: string };

export const pastFaults = signal<FaultOfDay[] | null>(null);
export const traces = signal<TraceOnCard[] | null>(null);
export const trace = signal<Trace | null>(null);
/** Why there is no trace where one was asked for, or that it is being read. */
export const says = signal<string | null>(null);

/** Reading a long trace on a small board takes its time, ms. */
const PATIENCE_MS = 40_000;
/** Closer than this shows single readings and nothing more, ms. */
const CLOSEST_MS = 2000;

export async function readFaults(): Promise<void> {
  pastFaults.value = await get<FaultOfDay[]>('/api/workshop/faults');
}

export async function readTraces(): Promise<void> {
  traces.value = await get<TraceOnCard[]>('/api/workshop/traces');
}

let asked = 0;

/** Reads a trace, or a window of it; an answer that comes after another question is dropped. */
export async function openTrace(name: string, window: Span | null = null): Promise<void> {
  asked += 1;
  const mine = asked;
  says.value = words.reading;
  const given = { name, ...(window === null ? {} : { from: window[0], to: window[1] }) };
  const all = Object.entries(given).map(([key, value]) => [key, String(value)]);
  const found = await asking(`/api/workshop/trace?${new URLSearchParams(all).toString()}`);
  if (mine !== asked) return;
  says.value = typeof found === 'string' ? found : null;
  if (typeof found !== 'string') trace.value = found;
}

async function asking(url: string): Promise<Trace | string> {
  try {
    const response = await fetch(url, { signal: AbortSignal.timeout(PATIENCE_MS) });
    const answer = (await response.json()) as Trace | Refusal;
    return 'error' in answer ? answer.reason : answer;
  } catch {
    return words.failed;
  }
}

export function closeTrace(): void {
  asked += 1;
  trace.value = null;
  says.value = null;
}

/** The window that is `times` as wide around `at`, moved by `by` of its width; null: the whole trace. */
export function windowOf(shown: TraceView, at: number, times: number, by: number): Span | null {
  const [from, to] = shown.window;
  const width = Math.max(CLOSEST_MS, Math.round((to - from) * times));
  if (width >= shown.lengthMs) return null;
  const share = to > from ? (at - from) / (to - from) : 0.5;
  const left = Math.round(at - share * width + by * width);
  const start = Math.max(0, Math.min(left, shown.lengthMs - width));
  return [start, start + width];
}
