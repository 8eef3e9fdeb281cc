import type { BatteryConfig, GateConfig } from './interlock/gate.ts';
import type { CrateConfig } from './cycle/crate.ts';
import type { Plan } from './sortplan/plan.ts';

/** All that `step` depends on besides state and input: plain JSON, frozen, resolved. */
export interface Config {
  scale: { divisionKg: number; rateHz: number; maxKg: number; staleMs: number };
  crate: CrateConfig;
  gate: GateConfig;
  plan: Plan;
  /** Names of the inputs that are fitted. */
  inputs: string[];
  battery: BatteryConfig | null;
  /** Keep-alive was proved to drop the actuators out at fitting. */
  keepAliveProved: boolean;
}
