import { readFile } from 'node:fs/promises';

/** Read this often, and believed for so long. */
const READ_MS = 500;
const LIFE_MS = 2500;

/**
 * Battery voltage by a converter of which the kernel shows the count in a file. Looking gives the
 * last value and has the next one read beside, since a file is not waited for in a tick.
 *
 * @returns volts, or null where none was read within the last 2.5 s.
 */
export function countReader(
  file: string,
  voltsPerCount: number,
  now: () => number,
): () => number | null {
  let last: { volts: number; at: number } | null = null;
  let asked: number | null = null;
  const look = async (): Promise<void> => {
    const text = (await readFile(file, 'utf8').catch(() => '')).trim();
    const count = text === '' ? NaN : Number(text);
    if (Number.isFinite(count)) last = { volts: count * voltsPerCount, at: now() };
  };
  return () => {
    const t = now();
    if (asked === null || t - asked >= READ_MS) {
      asked = t;
      void look();
    }
    return last !== null && t - last.at <= LIFE_MS ? last.volts : null;
  };
}
