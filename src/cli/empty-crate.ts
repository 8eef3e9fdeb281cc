/** Listens to the weigh head for a moment with nothing on the crate, and diagnoses what is heard. */
import { openSerialScale } from '../adapters/scale/serial.ts';
import type { ResolvedSite } from '../config/load.ts';
import type { ReadingInput, TraceHeader } from '../core/trace.ts';
import { diagnose } from '../diagnosis/diagnose.ts';
import { mean, scatter } from '../diagnosis/statistics.ts';
import { bad, good, type Check } from './check-line.ts';
import { findingChecks } from './check-trace.ts';

const LISTEN_MS = 5000;

/** One line with rate, mean and scatter, then one for each thing that is wrong. */
export async function emptyCrate(site: ResolvedSite): Promise<Check[]> {
  const readings: ReadingInput[] = [];
  const trouble: string[] = [];
  const begin = performance.now();
  const scale = openSerialScale({
    path: site.ports.scale ?? '',
    profile: site.scaleProfile,
    now: () => Math.round(performance.now() - begin),
    onBytes: () => undefined,
    onReading: (reading) => readings.push(reading),
    onLink: (up, reason) => {
      if (!up) trouble.push(reason);
    },
    onNote: () => undefined,
  });
  await new Promise((resolve) => setTimeout(resolve, LISTEN_MS));
  const { noise, frames } = scale.health();
  await scale.close();
  return judge(site, readings, { noise, frames }, trouble.at(-1) ?? null);
}

function judge(
  site: ResolvedSite,
  readings: ReadingInput[],
  bytes: { frames: number; noise: number },
  trouble: string | null,
): Check[] {
  const check = 'readings';
  const weights = readings.flatMap(({ kg }) => (kg === null ? [] : [kg]));
  if (weights.length < 2) {
    const said = trouble ?? `no whole frame in ${LISTEN_MS / 1000} s`;
    return [bad(check, said, 'Check profile, speed and plug; try `fank listen`.')];
  }
  const span = ((readings.at(-1)?.t ?? 0) - (readings[0]?.t ?? 0)) / 1000;
  const rate = (readings.length - 1) / Math.max(span, 0.001);
  const said =
    `${rate.toFixed(1)} a second, mean ${mean(weights).toFixed(2)} kg, ` +
    `scatter ${scatter(weights).toFixed(3)} kg, ${bytes.noise} stretch(es) of noise`;
  const { divisionKg, rateHz } = site.config.scale;
  const header: TraceHeader = {
    ...{ trace: 1, startedAt: null, scale: { divisionKg, rateHz }, inputs: [] },
    config: site.config,
  };
  const found = diagnose({ header, records: readings, bytes, knownKg: null });
  const loaded = Math.abs(mean(weights)) >= site.config.crate.emptyKg;
  const remedy = 'Empty the crate, clean it, zero the weigh head, and check again.';
  return [loaded ? bad(check, said, remedy) : good(check, said), ...findingChecks(found)];
}
