/**
 * Some seconds beside a seeded weigh head: lambs and ewes walk on and off, or nothing is on; its
 * frames go out on a wire with glitches and lost bytes, and an adapter hands over what it samples.
 */
import { createAnimal, type Animal } from './animal.ts';
import { createHead, type Head } from './heads.ts';
import { oneOf } from './pick.ts';
import { createRandom, type Random } from './random.ts';
import { createReceiver, createWire, type OnError, type Serial, type Wire } from './uart.ts';
import { createWeighHead } from './weigh-head.ts';

/** Listening begins here, with the head long in service. */
export const LISTEN_FROM_MS = 3000;
const LASTS_MS = 16_000;

/** One frame that the head sent. */
export interface SentFrame {
  /** When its first bit went out and its last stop bit ended, ms. */
  fromMs: number;
  toMs: number;
  bytes: Uint8Array;
  /** In kg, exactly what the digits say. */
  kg: number;
  motion: boolean;
  /** Untouched by glitches and losses. */
  whole: boolean;
}

export interface Chunk {
  t: number;
  bytes: Uint8Array;
}

export interface HeadSession {
  head: Head;
  adapter: { onError: OnError; latencyMs: number; openMs: number };
  /** Whether any animal comes on. */
  busy: boolean;
  sent: SentFrame[];
  /** Opens the port at `ms`; it hears from `openMs` later on. */
  open(serial: Serial, ms: number): { readUntil(ms: number): Chunk[] };
}

const KG: Record<Head['unit'], number> = { kg: 1, lb: 0.45359237, g: 0.001 };
const POWERS = [1, 10, 100, 1000];

/** What a whole number of last digits weighs, kg. */
export function kgOf(head: Head, digits: number): number {
  const plain = digits / (POWERS[head.decimals] ?? 1);
  return head.unit === 'g' ? plain / 1000 : plain * KG[head.unit];
}

/** A session; everything about it follows from the seed. */
export function createSession(seed: number): HeadSession {
  const random = createRandom(seed);
  const head = createHead(random.branch(1));
  const busy = random.chance(0.85);
  const wire = createWire();
  const sent = sendAll(random.branch(2), head, busy, wire);
  const adapter = {
    onError: oneOf(random, ['drop', 'keep'] as const),
    latencyMs: oneOf(random, [1, 4, 16]),
    openMs: Math.round(random.between(15, 80)),
  };
  const losses = random.branch(3).bits();
  const lostShare = random.chance(0.5) ? 0 : random.between(0, 0.004);
  return {
    head,
    adapter,
    busy,
    sent,
    open: (serial, ms) => {
      const from = (ms + adapter.openMs) * 1000;
      const receiver = createReceiver(wire, serial, adapter.onError, from);
      return chunked(receiver, adapter.latencyMs, byLosses(losses, lostShare));
    },
  };
}

type Kept = (us: number) => boolean;

/** Losses follow from the moment, so that they do not depend on how the port is opened. */
function byLosses(seed: number, share: number): Kept {
  return (us) => createRandom(seed + Math.floor(us)).even() >= share;
}

function chunked(
  receiver: ReturnType<typeof createReceiver>,
  latencyMs: number,
  kept: Kept,
): { readUntil(ms: number): Chunk[] } {
  return {
    readUntil(ms) {
      const last = Math.floor(ms / latencyMs) * latencyMs;
      const chunks: Chunk[] = [];
      let t = -1;
      let bytes: number[] = [];
      const flush = (): void => {
        if (bytes.length > 0) chunks.push({ t, bytes: Uint8Array.from(bytes) });
        bytes = [];
      };
      for (const { us, byte } of receiver.readUntil(last * 1000)) {
        if (!kept(us)) continue;
        const at = Math.ceil(us / 1000 / latencyMs) * latencyMs;
        if (at !== t) flush();
        t = at;
        bytes.push(byte);
      }
      flush();
      return chunks;
    },
  };
}

function sendAll(random: Random, head: Head, busy: boolean, wire: Wire): SentFrame[] {
  const divisionKg = kgOf(head, head.step);
  const weigh = createWeighHead(random.branch(1), {
    divisionKg,
    rateHz: 1000 / head.periodMs,
    noiseKg: random.chance(0.3) ? 0 : divisionKg * random.between(0, 0.5),
    zeroKg: random.chance(0.7) ? 0 : divisionKg * random.between(-3, 3),
    lost: random.chance(0.8) ? 0 : random.between(0, 0.03),
    averageMs: Math.max(100, head.periodMs),
  });
  const load = busy ? loads(random.branch(2)) : () => 0;
  // A crystal or a ceramic resonator.
  const baud = head.serial.baud * (1 + 0.008 * random.between(-1, 1));
  const jitterMs = random.between(0, 3);
  const sent: SentFrame[] = [];
  let freeUs = 0;
  for (let t = 0; t < LASTS_MS; t++) {
    const reading = weigh.sample(t, load(t));
    if (reading === null || reading.kg === null) continue;
    const digits = Math.round(reading.kg / divisionKg) * head.step;
    const text = head.frame({ digits, motion: reading.motion }, sent.length);
    const bytes = Uint8Array.from(text, (char) => char.charCodeAt(0));
    const fromUs = Math.max(freeUs, (t + jitterMs * random.even()) * 1000);
    freeUs = wire.send(fromUs, bytes, { baud, framing: head.serial.framing });
    const times = { fromMs: fromUs / 1000, toMs: freeUs / 1000 };
    sent.push({ ...times, bytes, kg: kgOf(head, digits), motion: reading.motion, whole: true });
  }
  glitches(random.branch(3), wire, sent);
  return sent;
}

/** Short pulses, as a fence unit or a starter motor gives them. */
function glitches(random: Random, wire: Wire, sent: SentFrame[]): void {
  const perSecond = random.chance(0.5) ? 0 : random.between(0, 1);
  for (let ms = 1000 * random.wait(perSecond); ms < LASTS_MS; ms += 1000 * random.wait(perSecond)) {
    const lengthMs = random.between(0.01, 0.2);
    wire.pulse(ms * 1000, lengthMs * 1000);
    for (const frame of sent)
      if (frame.fromMs < ms + lengthMs && frame.toMs > ms) frame.whole = false;
  }
}

interface Visit {
  animal: Animal;
  onMs: number;
  letGoMs: number;
}

/** One animal after another; mostly quiet ones, which stand until they are let go. */
function loads(random: Random): (t: number) => number {
  const visits: Visit[] = [];
  let onMs = random.between(0, 5000);
  while (onMs < LASTS_MS) {
    const animal = createAnimal(random.branch(visits.length), {
      trueKg: random.chance(0.8) ? random.between(15, 60) : random.between(50, 95),
      temperament: random.between(0, 0.7),
      scenario: 'usual',
    });
    const letGoMs = onMs + animal.fullyOnMs + random.between(2000, 6000);
    visits.push({ animal, onMs, letGoMs });
    onMs = letGoMs + animal.goneMs + random.between(300, 3000);
  }
  return (t) => {
    let kg = 0;
    for (const { animal, onMs: from, letGoMs } of visits) {
      if (t < from || t > letGoMs + animal.goneMs) continue;
      kg += animal.loadKg(t - from) * (t > letGoMs ? animal.leavingKg(t - letGoMs) : 1);
    }
    return kg;
  };
}
