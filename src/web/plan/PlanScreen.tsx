import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { planWords } from '../words/plan.ts';
import { Editor } from './Editor.tsx';
import { Lists } from './Lists.tsx';
import { openLists, openRecord } from './lists.ts';
import './plan.css';
import { open } from './state.ts';
import { Treatments } from './Treatments.tsx';

type Part = 'plan' | 'lists' | 'treatments';
const PARTS: Part[] = ['plan', 'lists', 'treatments'];
const part = signal<Part>('plan');

/** The place Plan: what each animal is sorted by. */
export function PlanScreen() {
  useEffect(() => {
    void Promise.all([open(), openLists(), openRecord()]);
  }, []);
  return (
    <main class="plan">
      <h1>{planWords.title}</h1>
      <nav class="parts" aria-label={planWords.title}>
        {PARTS.map((one) => (
          <button
            type="button"
            key={one}
            aria-current={part.value === one ? 'page' : undefined}
            onClick={() => {
              part.value = one;
            }}
          >
            {planWords.parts[one]}
          </button>
        ))}
      </nav>
      {part.value === 'plan' ? <Editor /> : null}
      {part.value === 'lists' ? <Lists /> : null}
      {part.value === 'treatments' ? <Treatments /> : null}
    </main>
  );
}
