import { signal } from '@preact/signals';

export type Look = 'sun' | 'night';
const KEY = 'fank-look';

function remembered(): Look | null {
  try {
    const kept = localStorage.getItem(KEY);
    return kept === 'sun' || kept === 'night' ? kept : null;
  } catch {
    return null;
  }
}

export const look = signal<Look>(
  remembered() ?? (matchMedia('(prefers-color-scheme: dark)').matches ? 'night' : 'sun'),
);

/** Dresses the page, and remembers the choice on this device where the browser lets it. */
export function dress(chosen: Look): void {
  look.value = chosen;
  document.documentElement.dataset['look'] = chosen;
  try {
    localStorage.setItem(KEY, chosen);
  } catch {
    // A browser that keeps nothing: the choice lasts as long as the page.
  }
}
