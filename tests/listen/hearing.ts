import { LISTEN_FROM_MS, type HeadSession } from '../../simulator/head-session.ts';
import type { ScaleProfile } from '../../src/config/frames/schema.ts';
import { infer, type Finding } from '../../src/listen/infer.ts';
import { createScan } from '../../src/listen/scan.ts';

/** How often the scanning looks at what came. */
const TURN_MS = 50;

export interface Heard {
  finding: Finding;
  /** Moments between which the frames came that were looked at. */
  fromMs: number;
  toMs: number;
  openings: string[];
}

/** Listens to a seeded head for so long, opening the simulated port as the scan asks for. */
export function hear(session: HeadSession, known: readonly ScaleProfile[], ms = 10_000): Heard {
  const scan = createScan();
  const openings: string[] = [];
  let fromMs = LISTEN_FROM_MS;
  const toMs = LISTEN_FROM_MS + ms;
  const reopen = (t: number): ReturnType<HeadSession['open']> => {
    const { baud, framing } = scan.opening();
    openings.push(`${baud} ${framing}`);
    fromMs = t;
    scan.opened(t);
    return session.open(scan.opening(), t);
  };
  let port = reopen(fromMs);
  for (let t = fromMs + TURN_MS; t <= toMs; t += TURN_MS) {
    for (const chunk of port.readUntil(t)) scan.hear(chunk.t, chunk.bytes);
    if (scan.turn(t)) port = reopen(t);
  }
  const finding = infer(scan.found(), { known, knownKg: null, ask: null });
  return { finding, fromMs, toMs, openings };
}
