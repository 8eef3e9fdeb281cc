/** What the page knows, as signals, and what it can ask for. */
import { computed, signal } from '@preact/signals';
import type { Refusal, SignedIn } from '../adapters/page/contracts.ts';
import type { Layout, LiveNow } from '../adapters/page/messages.ts';
import type { Fault } from '../core/faults/table.ts';
import type { Command } from '../core/trace.ts';
import { get, post } from './api.ts';
import { ageMs, hear, LAG_MS, NOTHING_HEARD, standing } from './freshness.ts';
import { keepLive } from './live.ts';
import { words } from './words/en.ts';

const heard = signal(NOTHING_HEARD);
const NOBODY: SignedIn = { role: null, device: null, until: null };
/** This device's monotonic ms, moved four times a second so that ages grow. */
const clock = signal(performance.now());
export const layout = signal<Layout | null>(null);
export const me = signal<SignedIn>(NOBODY);
export const faultTexts = signal<Record<string, Fault>>({});
export const sheet = signal<'none' | 'sign-in' | 'menu'>('none');
/** The last thing that the page has to say about a press of a button. */
export const notice = signal<{ text: string; bad: boolean } | null>(null);

export const stands = computed(() => standing(heard.value, clock.value));
export const isLive = computed(() => stands.value === 'live');
/** Age of what is shown in whole seconds, or null. */
export const ageS = computed(() => {
  const age = ageMs(heard.value, clock.value);
  return age === null ? null : Math.round(age / 1000);
});
/** The real race now, also when it is not live. */
export const real = computed<LiveNow | null>(() => {
  const { now } = heard.value;
  return now !== null && now.layout === layout.value?.id ? now : null;
});
/** A race that only this page plays; it takes the commands in the place of the real one. */
export const practice = signal<{
  now: LiveNow;
  take: (command: Command) => void;
  end: () => void;
} | null>(null);
/** The race as it is shown: look at `isLive` before showing it as live. */
export const race = computed<LiveNow | null>(() => practice.value?.now ?? real.value);
/** Who holds the controls, as this device sees it. */
export const control = computed<'me' | 'nobody' | number>(() => {
  const holder = race.value?.control?.device ?? null;
  if (holder === null) return 'nobody';
  return holder === me.value.device ? 'me' : holder;
});

let live: { again(): void } | null = null;

/** Begins to look; called once. */
export function begin(): void {
  void refreshMe();
  void refreshFaults();
  live = keepLive({
    layout: (given) => {
      layout.value = given;
    },
    word: (word) => {
      const atMs = performance.now();
      heard.value = hear(heard.value, word, atMs);
      clock.value = atMs;
    },
    woke: () => {
      heard.value = NOTHING_HEARD;
      void refreshMe();
    },
    lags: () => heard.value.lagMs > LAG_MS,
  });
  setInterval(() => {
    clock.value = performance.now();
  }, 250);
}

export async function refreshMe(): Promise<void> {
  const found = await get<SignedIn>('/api/me');
  if (found !== null) me.value = found;
}

async function refreshFaults(): Promise<void> {
  const found = await get<Record<string, Fault>>('/api/faults');
  if (found === null) setTimeout(() => void refreshFaults(), 5000);
  else faultTexts.value = found;
}

function say(refusal: Refusal | null): void {
  let text = words.stopLost;
  if (refusal === null) text = words.refusal['no-answer'];
  else text = refusal.error === 'refused' ? refusal.reason : words.refusal[refusal.error];
  notice.value = { text, bad: true };
  if (refusal?.error === 'sign-in-first') {
    me.value = NOBODY;
    sheet.value = 'sign-in';
  }
}

/** Gives a command; asks for the PIN first when nobody is signed in on this device. */
export async function command(given: Command): Promise<boolean> {
  if (practice.value !== null) {
    practice.value.take(given);
    return true;
  }
  if (me.value.role === null) {
    sheet.value = 'sign-in';
    return false;
  }
  notice.value = null;
  const answer = await post('/api/command', given);
  if (!answer.ok) say(answer.refusal);
  return answer.ok;
}

/** Start, with the word of a person who has looked: the gate is free. */
export async function start(): Promise<void> {
  if (await command({ do: 'start' })) await command({ do: 'confirm', what: 'lane' });
}

export async function takeOver(): Promise<void> {
  const answer = await post('/api/control', { take: true });
  if (!answer.ok) say(answer.refusal);
}

/** Null when signed in, else what to say. */
export async function signIn(pin: string): Promise<string | null> {
  const answer = await post<SignedIn>('/api/sign-in', { pin });
  if (!answer.ok) {
    const { refusal } = answer;
    if (refusal === null) return words.refusal['no-answer'];
    return refusal.error === 'refused' ? refusal.reason : words.refusal[refusal.error];
  }
  me.value = answer.value;
  notice.value = null;
  // The stream says whose it is by its cookie, which is new.
  live?.again();
  return null;
}

export async function signOut(): Promise<void> {
  const answer = await post<SignedIn>('/api/sign-out', {});
  if (answer.ok) me.value = answer.value;
  else say(answer.refusal);
  live?.again();
}
