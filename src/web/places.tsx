import { signal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { words } from './words/en.ts';

/** The places of the page. All but the race are fetched when somebody first goes there. */
export type Place =
  'race' | 'session' | 'plan' | 'book' | 'check' | 'fitting' | 'workshop' | 'card';

export const place = signal<Place>('race');

const fetched: Record<Exclude<Place, 'race'>, () => Promise<ComponentType>> = {
  session: () => import('./session/SessionScreen.tsx').then((module) => module.SessionScreen),
  plan: () => import('./plan/PlanScreen.tsx').then((module) => module.PlanScreen),
  book: () => import('./book/BookScreen.tsx').then((module) => module.BookScreen),
  check: () => import('./check/CheckScreen.tsx').then((module) => module.CheckScreen),
  fitting: () => import('./fitting/FittingScreen.tsx').then((module) => module.FittingScreen),
  card: () => import('./card/CardScreen.tsx').then((module) => module.CardScreen),
  workshop: () => import('./workshop/WorkshopScreen.tsx').then((module) => module.WorkshopScreen),
};

const screens = signal<Partial<Record<Place, ComponentType>>>({});
const failed = signal(false);

export function go(to: Place): void {
  place.value = to;
  failed.value = false;
  if (to === 'race' || screens.value[to] !== undefined) return;
  fetched[to]().then(
    (screen) => {
      screens.value = { ...screens.value, [to]: screen };
    },
    () => {
      failed.value = true;
    },
  );
}

/** The place that is not the race; a dash until it is there. */
export function Elsewhere() {
  const Screen = screens.value[place.value];
  if (Screen !== undefined) return <Screen />;
  return (
    <main class="sheet">
      <h1>{words.title}</h1>
      <p role="status">{failed.value ? words.refusal['no-answer'] : words.noFigure}</p>
    </main>
  );
}

/** The way from one place to another, in the menu. */
export function Places({ done }: { done: () => void }) {
  return (
    <nav class="places" aria-label={words.places.label}>
      {(['race', 'session', 'plan', 'book', 'check', 'fitting', 'workshop', 'card'] as const).map(
        (to) => (
          <button
            type="button"
            class="act"
            key={to}
            data-place={to}
            aria-current={place.value === to ? 'page' : undefined}
            onClick={() => {
              go(to);
              done();
            }}
          >
            <b>{words.places[to]}</b>
          </button>
        ),
      )}
    </nav>
  );
}
