import type { Refusal } from '../adapters/page/contracts.ts';

/** Longer than the daemon is given to answer, ms. */
const PATIENCE_MS = 4000;
/** What is only read may take a small board so long, ms: a first look into the day book does. */
const READING_MS = 15_000;

export type Answer<T> = { ok: true; value: T } | { ok: false; refusal: Refusal | null };

/** Posts JSON; a refusal of null means that nothing answered. */
export async function post<T>(
  path: string,
  body: object,
  patienceMs = PATIENCE_MS,
): Promise<Answer<T>> {
  try {
    const response = await fetch(path, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
      signal: AbortSignal.timeout(patienceMs),
    });
    const value = (await response.json()) as unknown;
    if (response.ok) return { ok: true, value: value as T };
    return { ok: false, refusal: value as Refusal };
  } catch {
    return { ok: false, refusal: null };
  }
}

export async function get<T>(path: string): Promise<T | null> {
  try {
    const response = await fetch(path, { signal: AbortSignal.timeout(READING_MS) });
    return response.ok ? ((await response.json()) as T) : null;
  } catch {
    return null;
  }
}
