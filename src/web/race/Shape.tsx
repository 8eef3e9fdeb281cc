import type { WeightState } from '../../adapters/page/messages.ts';

/** One shape a state, told apart without colour and without reading. */
const SHAPES: Record<WeightState, string> = {
  none: 'M6 24h8M20 24h8M34 24h8',
  'no-zero': 'M24 8a16 16 0 1 0 .01 0M10 40 38 8',
  empty: 'M6 14v22h36V14',
  'coming-on': 'M6 14v22h36V14M14 36V24h10',
  weighing: 'M6 14v22h36V14M12 26q4-8 8 0t8 0 8 0',
  good: 'M6 14v22h36V14M14 24l7 7 13-17',
  'not-sure': 'M24 5 44 42H4ZM24 17v12M24 34v2',
  leaving: 'M6 22v14h36V22M24 30V6M15 15l9-9 9 9',
};

export function Shape({ state }: { state: WeightState }) {
  return (
    <svg class="shape" viewBox="0 0 48 48" aria-hidden="true">
      <path d={SHAPES[state]} />
    </svg>
  );
}
