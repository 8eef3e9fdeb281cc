/** What the Fitting screen knows, and what it says to the service. */
import { signal } from '@preact/signals';
import type { FittingLive, FittingSaid, FittingView, ItemView } from '../../fitting/view.ts';
import type { StepId } from '../../fitting/steps.ts';
import type { Value } from '../../fitting/state.ts';
import { get, post } from '../api.ts';
import { words } from '../words/en.ts';

/** The lamps are looked at so often, ms. */
const EVERY_MS = 250;
/** What is written goes to the card first, ms. */
const WRITTEN_MS = 12_000;

export const view = signal<FittingView | null>(null);
export const live = signal<FittingLive | null>(null);
/** The step that is shown; null: the list of them. */
export const shown = signal<StepId | 'lamps' | 'report' | null>(null);
/** The name that goes with everything that is said. */
export const who = signal(localStorage.getItem('fank-fitter') ?? '');
/** What the service did not take, in words. */
export const says = signal<string | null>(null);

export function setWho(name: string): void {
  who.value = name;
  localStorage.setItem('fank-fitter', name);
}

async function look(): Promise<void> {
  const seen = await get<FittingLive>('/api/fitting/live');
  live.value = seen;
  if (seen === null || view.value?.rev === seen.rev) return;
  await refresh();
}

export async function refresh(): Promise<void> {
  const found = await get<FittingView>('/api/fitting');
  if (found !== null) view.value = found;
}

/** Looks at the lamps until the function that it gives is called. */
export function keepLooking(): () => void {
  let timer = 0;
  let over = false;
  const turn = async (): Promise<void> => {
    if (!document.hidden) await look();
    if (!over) timer = window.setTimeout(() => void turn(), EVERY_MS);
  };
  void turn();
  return () => {
    over = true;
    clearTimeout(timer);
    live.value = null;
  };
}

type Said = FittingSaid extends infer One
  ? One extends unknown
    ? Omit<One, 'who'>
    : never
  : never;

/** True where it was taken; else `says` tells why not. */
export async function say(said: Said): Promise<boolean> {
  says.value = null;
  const body = { ...said, who: who.value.trim() };
  const answer = await post<FittingView>('/api/fitting', body, WRITTEN_MS);
  if (answer.ok) {
    view.value = answer.value;
    return true;
  }
  const { refusal } = answer;
  if (refusal === null) says.value = words.refusal['no-answer'];
  else says.value = refusal.error === 'refused' ? refusal.reason : words.refusal[refusal.error];
  return false;
}

export const answer = (item: ItemView, value: Value): Promise<boolean> =>
  say({ do: 'answer', item: item.id, value });
