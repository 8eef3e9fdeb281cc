import type { ResolvedSite } from './config/load.ts';
import type { Config } from './core/step.ts';
import type { TraceHeader } from './core/trace.ts';

/** Header of a trace that begins at `wall`; `frames` is the weigh head's profile, if its bytes have one. */
export function headerOf(
  config: Config,
  version: string,
  wall: { atMs: number; clockSet: boolean },
  frames: unknown,
): TraceHeader {
  const { deadTimeMs, leaves } = config.gate;
  return {
    trace: 1,
    startedAt: wall.clockSet ? new Date(wall.atMs).toISOString() : null,
    scale: { divisionKg: config.scale.divisionKg, rateHz: config.scale.rateHz },
    inputs: config.inputs,
    fank: version,
    config,
    gate: {
      deadTimeMs,
      travelMs: Math.max(...leaves.map((leaf) => leaf.travelMs)),
      maxOnMs: Math.max(...leaves.map((leaf) => leaf.maxOnMs)),
    },
    ...(frames === undefined ? {} : { frames }),
  };
}

/** The profile that reads the weigh head's bytes; the Weight Scale Service needs none. */
export function framesOf({
  site,
  scaleProfile,
}: ResolvedSite): ResolvedSite['scaleProfile'] | undefined {
  const { bluetooth } = site.scale;
  return bluetooth === undefined || bluetooth.stream !== undefined ? scaleProfile : undefined;
}
