/** What the day book shows, and what it asks for. */
import { signal } from '@preact/signals';
import type { Evening, Line, ManyFarms } from '../../adapters/evening.ts';
import { get } from '../api.ts';

export type Standing = 'reading' | 'none' | 'there';

export const days = signal<{ day: string; farms: string[] }[]>([]);
/** Null: the latest. */
export const day = signal<string | null>(null);
/** Null: the only one of that day; '' those sessions that name none. */
export const farm = signal<string | null>(null);
export const evening = signal<Evening | null>(null);
/** Farms to choose from, where a day has more than one. */
export const farms = signal<string[]>([]);
export const lines = signal<Line[]>([]);
export const standing = signal<Standing>('reading');
export const target = signal<string>('');
export const killingOut = signal<string>(remembered());

const KEY = 'fank-killing-out';

function remembered(): string {
  try {
    return localStorage.getItem(KEY) ?? '';
  } catch {
    return '';
  }
}

/** The farmer's own figure stays on this device where the browser lets it. */
export function rememberKillingOut(text: string): void {
  killingOut.value = text;
  try {
    localStorage.setItem(KEY, text);
  } catch {
    // It lasts as long as the page.
  }
}

/** A number within its limits as people write it, with a point or a comma; null where it is none. */
export function numberIn(text: string, least: number, most: number): number | null {
  const value = Number(text.trim().replace(',', '.'));
  return text.trim() !== '' && value >= least && value <= most ? value : null;
}

/** `?day=…&farm=…` and what else is known, for every question about this day. */
export function query(more: Record<string, string | number | null> = {}): string {
  const all = { day: day.value, farm: farm.value, ...more };
  const given = Object.entries(all).filter(([, value]) => value !== null && value !== '');
  // The farm without a name is a farm too.
  if (farm.value === '') given.push(['farm', '']);
  const text = new URLSearchParams(given.map(([key, value]) => [key, String(value)])).toString();
  return text === '' ? '' : `?${text}`;
}

let asked = 0;

/** Reads the day that is chosen; an answer that comes after another question is dropped. */
export async function read(): Promise<void> {
  asked += 1;
  const mine = asked;
  const known = {
    killingOut: numberIn(killingOut.value, 30, 70),
    target: numberIn(target.value, 1, 1000),
  };
  const found = await get<Evening | ManyFarms>(`/api/book${query(known)}`);
  if (mine !== asked) return;
  farms.value = found !== null && 'farms' in found ? found.farms : [];
  evening.value = found === null || 'farms' in found ? null : found;
  standing.value = found === null ? 'none' : 'there';
  if (evening.value === null) return;
  const all = await get<Line[]>(`/api/book/animals${query({ day: evening.value.day })}`);
  if (mine === asked) lines.value = all ?? [];
}

/** The place is opened: what came in meanwhile is there. */
export async function open(): Promise<void> {
  standing.value = 'reading';
  days.value = (await get<{ day: string; farms: string[] }[]>('/api/book/days')) ?? [];
  await read();
}

export function choose(which: { day?: string; farm?: string }): void {
  if (which.day !== undefined) {
    day.value = which.day;
    farm.value = null;
  }
  if (which.farm !== undefined) farm.value = which.farm;
  void read();
}
