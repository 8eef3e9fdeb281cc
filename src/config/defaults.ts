import type { Config } from '../core/step.ts';
import { frozen } from './hash.ts';
import { newPlan } from './plan.ts';
import { loadProfile, type Profile, type ProfileKind } from './profiles.ts';
import { resolveConfig, staleMs } from './resolve.ts';
import { siteSchema } from './site.ts';

/** What a trace says of the weigh head and the contacts that it was taken with. */
export interface TraceFitting {
  scale: { divisionKg: number; rateHz: number };
  inputs: string[];
}

/**
 * The site of a trace that names none: three exits by leafA and leafB, no end switches, the
 * keep-alive taken as proved, no beam, actuators for continuous duty, a crate with hand gates, the
 * plan that a new site starts with.
 */
export function defaultConfig(trace?: TraceFitting): Config {
  const site = siteSchema.parse({
    site: 1,
    zone: 'UTC',
    plan: 'by-weight',
    profiles: {
      scale: 'plain-continuous',
      board: 'simulated',
      gate: 'three-way',
      crate: 'hand-gates',
    },
  });
  const gate = shipped('gate', site.profiles.gate);
  const config = resolveConfig({
    site,
    gate,
    board: shipped('board', site.profiles.board),
    crate: shipped('crate', site.profiles.crate),
    plan: newPlan(Object.keys(gate.exits)),
  });
  // Nobody knows how long its actuators had rested before the trace: they are taken as rated S1.
  const leaves = config.gate.leaves.map((leaf) => ({ ...leaf, duty: null }));
  const rested = { ...config, gate: { ...config.gate, leaves } };
  return configForTrace(rested, trace ?? { scale: config.scale, inputs: ['frontShut'] });
}

/**
 * A site's configuration with the weigh head and the contacts of a trace taken elsewhere, where
 * nobody knows whether the rail hung on the keep-alive.
 */
export function configForTrace(config: Config, trace: TraceFitting): Config {
  const { divisionKg, rateHz } = trace.scale;
  const scale = { ...config.scale, divisionKg, rateHz, staleMs: staleMs(rateHz) };
  // What the trace has of tags was read, whatever the site has.
  const read = { ...config };
  delete read.noReader;
  const gate = { ...config.gate, dropOutMs: null };
  return frozen({ ...read, gate, scale, inputs: [...trace.inputs] });
}

function shipped<K extends ProfileKind>(kind: K, name: string): Profile<K> {
  const loaded = loadProfile(kind, name, null);
  if (loaded?.ok) return loaded.value;
  throw new Error(`the shipped ${kind} profile ${name} is damaged: install Fank again`);
}
