/** Panels of other screens that stand at a step; each is fetched when somebody opens that step. */
import { signal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { useEffect } from 'preact/hooks';
import type { StepId } from '../../fitting/steps.ts';

/** What stands at which step. */
const fetched: Partial<Record<StepId, () => Promise<ComponentType>>> = {
  supply: () => import('../cable/CablePanel.tsx').then((m) => m.CablePanel),
  head: () => import('../listen/ListenPanel.tsx').then((m) => m.ListenPanel),
};

const there = signal<Partial<Record<StepId, ComponentType>>>({});

export function Panel({ step }: { step: StepId }) {
  useEffect(() => {
    void fetched[step]?.().then((panel) => {
      there.value = { ...there.value, [step]: panel };
    });
  }, [step]);
  const Found = there.value[step];
  return Found === undefined ? null : <Found />;
}
