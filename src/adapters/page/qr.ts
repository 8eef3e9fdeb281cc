import { networkInterfaces } from 'node:os';
import { encode } from 'uqr';
import type { Qr } from './contracts.ts';

/** Quiet zone around it, modules (ISO/IEC 18004, from memory: four). */
const BORDER = 4;

export function qrOf(text: string): Qr {
  const { data, size } = encode(text, { ecc: 'M', border: BORDER });
  const path = data.flatMap((row, y) =>
    row.flatMap((dark, x) => (dark ? [`M${String(x)} ${String(y)}h1v1h-1z`] : [])),
  );
  return { text, size, path: path.join('') };
}

/** The page's address as another phone can reach it: the one it was asked by, or this machine's own. */
export function addressOf(host: string, port: number): string {
  if (!/^(localhost|127\.|\[::1\])/.test(host)) return `http://${host}`;
  const all = Object.values(networkInterfaces()).flatMap((list) => list ?? []);
  const own = all.find((one) => one.family === 'IPv4' && !one.internal)?.address ?? '127.0.0.1';
  return `http://${own}:${String(port)}`;
}
