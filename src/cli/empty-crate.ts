/** Reads the weigh head for a moment with nothing on the crate: rate, scatter, what was no frame. */
import { openSerialScale } from '../adapters/scale/serial.ts';
import type { ResolvedSite } from '../config/load.ts';
import type { Check } from './check-site.ts';

const LISTEN_MS = 3000;
/** Scatter of an empty crate over this many divisions is worth a look (common practice, no source). */
const QUIET_DIVISIONS = 2;

export async function emptyCrate(site: ResolvedSite): Promise<Check> {
  const weights: number[] = [];
  const trouble: string[] = [];
  const begin = performance.now();
  const scale = openSerialScale({
    path: site.ports.scale ?? '',
    profile: site.scaleProfile,
    now: () => Math.round(performance.now() - begin),
    onBytes: () => undefined,
    onReading: ({ kg }) => {
      if (kg !== null) weights.push(kg);
    },
    onLink: (up, reason) => {
      if (!up) trouble.push(reason);
    },
    onNote: () => undefined,
  });
  await new Promise((resolve) => setTimeout(resolve, LISTEN_MS));
  const { noise } = scale.health();
  await scale.close();
  return judge(site, weights, noise, trouble.at(-1) ?? null);
}

function judge(
  site: ResolvedSite,
  weights: number[],
  noise: number,
  trouble: string | null,
): Check {
  const check = 'readings';
  if (weights.length < 2) {
    const said = trouble ?? 'no whole frame in three seconds';
    return { check, ok: false, said, remedy: 'Check profile, speed and plug; try `fank listen`.' };
  }
  const rate = weights.length / (LISTEN_MS / 1000);
  const mean = weights.reduce((sum, kg) => sum + kg, 0) / weights.length;
  const squares = weights.reduce((sum, kg) => sum + (kg - mean) * (kg - mean), 0);
  const scatter = Math.sqrt(squares / (weights.length - 1));
  const said =
    `${rate.toFixed(1)} a second, mean ${mean.toFixed(2)} kg, scatter ${scatter.toFixed(3)} kg, ` +
    `${noise} stretch(es) of noise`;
  const quiet = scatter <= QUIET_DIVISIONS * site.config.scale.divisionKg;
  const remedy = quiet ? '' : 'Empty the crate, look for what touches or swings it.';
  return { check, ok: quiet, said, remedy };
}
