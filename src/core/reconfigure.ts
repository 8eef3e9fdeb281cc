import { initial, type Config, type State } from './step.ts';

/** A new configuration, taken when stopped and empty: counts and session go on, the rest begins anew. */
export function reconfigure(config: Config, state: State): State {
  const { session, nextAnimal, counts } = state.cycle;
  const fresh = initial(config);
  return { ...fresh, cycle: { ...fresh.cycle, session, nextAnimal, counts } };
}
