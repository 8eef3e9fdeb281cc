/** Plays the practice race on this page; ends as soon as the real one is not standing still. */
import { effect } from '@preact/signals';
import { isLive, layout, practice, real } from '../store.ts';
import { stopping } from '../stop.ts';
import { beginPractice, pass, shown, told, type Practice } from './engine.ts';

const STEP_MS = 100;

/** Practice may begin: what is real stands still, and nobody is on. */
export function mayPractise(): boolean {
  const now = isLive.value ? real.value : null;
  return now !== null && now.mode === 'stopped' && now.animal === null;
}

export function practise(): void {
  const given = layout.value;
  if (given === null || !mayPractise()) return;
  let race: Practice = beginPractice(given, 1 + (Math.floor(performance.now()) % 2_000_000_000));
  const show = (next: Practice): void => {
    race = next;
    const now = real.peek();
    if (now === null) return;
    practice.value = {
      now: shown(given, now, race),
      take: (command) => {
        show(told(race, command));
      },
      end,
    };
  };
  const timer = setInterval(() => {
    if (layout.peek() !== given || !mayPractise()) end();
    else show(pass(given, race, STEP_MS));
  }, STEP_MS);
  // The real stop is sent as ever; it ends the practice too.
  const unhear = effect(() => {
    if (stopping.value !== 'idle') end();
  });
  function end(): void {
    clearInterval(timer);
    practice.value = null;
    queueMicrotask(() => unhear());
  }
  show(race);
}
