/** What the plan screen knows and asks for. */
import { computed, signal } from '@preact/signals';
import type { Plan } from '../../core/sortplan/plan.ts';
import { get, post, type Answer } from '../api.ts';
import { me, notice, race, sheet } from '../store.ts';
import { words } from '../words/en.ts';

export interface Problem {
  path: (string | number)[];
  message: string;
  remedy: string;
}

export interface WhatIf {
  animals: number;
  head: { lot: string; head: number }[];
  others: number;
  moves: { from: string | null; to: string | null; head: number }[];
}

interface Plans {
  active: string;
  exits: string[];
  plans: { name: string; title: string; problem: string | null }[];
  fresh: Plan;
}

interface Past {
  days: string[];
  day: string | null;
  sessions: { session: string; from: string; kg: number[] }[];
}

/** A session of this day shows a histogram only when it has so many. */
const LEAST_HEAD = 30;
/** Typing is looked at when it has paused this long, ms. */
const PAUSE_MS = 500;
/** A card may take its time, ms. */
const SAVE_MS = 12_000;

export const plans = signal<Plans | null>(null);
/** `name` null: not saved yet. */
export const edited = signal<{ name: string | null; plan: Plan; was: string } | null>(null);
export const problems = signal<Problem[]>([]);
export const whatWould = signal<WhatIf | null>(null);
export const past = signal<Past>({ days: [], day: null, sessions: [] });
export const tryOn = signal<string | null>(null);
export const asksUse = signal(false);
export const saying = signal('');

export const changed = computed(() => {
  const now = edited.value;
  return now !== null && (now.name === null || JSON.stringify(now.plan) !== now.was);
});

/** The session whose weights are shown; this one only after 30 animals. */
export const shown = computed(() => {
  const offered = past.value.sessions.filter(
    ({ session, kg }) => session !== race.value?.session || kg.length >= LEAST_HEAD,
  );
  const picked = offered.find(({ session }) => session === tryOn.value) ?? offered.at(-1) ?? null;
  return { offered, picked };
});

export async function open(): Promise<void> {
  plans.value = await get<Plans>('/api/plans');
  if (edited.value === null && plans.value !== null) await pick(plans.value.active);
  await openDay(null);
}

export async function openDay(day: string | null): Promise<void> {
  const found = await get<Past>(day === null ? '/api/past' : `/api/past?day=${day}`);
  if (found !== null) past.value = found;
  look();
}

export async function pick(name: string): Promise<void> {
  const found = await get<{ plan: Plan }>(`/api/plans/${name}`);
  if (found !== null) begin(name, found.plan);
}

/** Begins to edit: a saved plan, or one that has no file yet. */
export function begin(name: string | null, plan: Plan): void {
  edited.value = { name, plan, was: JSON.stringify(plan) };
  problems.value = [];
  asksUse.value = false;
  saying.value = '';
  look();
}

export function change(plan: Plan): void {
  const now = edited.value;
  if (now === null) return;
  edited.value = { ...now, plan };
  saying.value = '';
  look();
}

let pausing = 0;
/** Has the plan checked, and tried on the session that is shown, once typing pauses. */
export function look(): void {
  clearTimeout(pausing);
  pausing = window.setTimeout(() => void check(), PAUSE_MS);
}

async function check(): Promise<void> {
  const now = edited.value;
  if (now === null || me.value.role === null) return;
  const { day } = past.value;
  const session = shown.value.picked?.session ?? null;
  const body = {
    ...{ name: now.name, plan: now.plan },
    ...(day === null || session === null ? {} : { day, session }),
  };
  const answer = await post<{ problems: Problem[]; whatIf: WhatIf | null }>(
    '/api/plans/check',
    body,
  );
  if (!answer.ok || edited.value?.plan !== now.plan) return;
  problems.value = answer.value.problems;
  whatWould.value = answer.value.whatIf;
}

interface Saved {
  saved: boolean;
  name: string;
  problems: Problem[];
}

/** Saves what is edited, and uses it if so asked. */
export async function save(use: boolean): Promise<void> {
  const now = edited.value;
  if (now === null || !mayWrite()) return;
  const path = use && !changed.value ? '/api/plans/use' : '/api/plans/save';
  const body = path.endsWith('use') ? { name: now.name } : { name: now.name, plan: now.plan, use };
  const answer = await send<Saved>(path, body);
  if (answer === null) return;
  problems.value = answer.problems;
  if (!answer.saved) return;
  asksUse.value = false;
  edited.value = { name: answer.name, plan: now.plan, was: JSON.stringify(now.plan) };
  saying.value = 'saved';
  plans.value = await get<Plans>('/api/plans');
}

/** True when somebody is signed in; otherwise the PIN is asked for. */
export function mayWrite(): boolean {
  if (me.value.role === null) sheet.value = 'sign-in';
  return me.value.role !== null;
}

/** Sends what may take a while; a refusal is said where all are said, and gives null. */
export async function send<T>(path: string, body: object): Promise<T | null> {
  if (!mayWrite()) return null;
  notice.value = null;
  const answer: Answer<T> = await post<T>(path, body, SAVE_MS);
  if (answer.ok) return answer.value;
  const { refusal } = answer;
  const text =
    refusal === null
      ? words.refusal['no-answer']
      : refusal.error === 'refused'
        ? refusal.reason
        : words.refusal[refusal.error];
  notice.value = { text, bad: true };
  return null;
}
