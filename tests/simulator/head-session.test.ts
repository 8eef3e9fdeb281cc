import { describe, expect, it } from 'vitest';
import { createSession, LISTEN_FROM_MS, type HeadSession } from '../../simulator/head-session.ts';

const SESSIONS = Array.from({ length: 15 }, (_, i) => createSession(i + 1));

function heardBytes(session: HeadSession): number[] {
  const chunks = session.open(session.head.serial, LISTEN_FROM_MS).readUntil(LISTEN_FROM_MS + 3000);
  return chunks.flatMap(({ bytes }) => [...bytes]);
}

describe('a seeded weigh head', () => {
  it('is the same each time, and another for another seed', () => {
    for (const seed of [1, 2, 3])
      expect(createSession(seed).sent).toEqual(SESSIONS[seed - 1]?.sent);
    expect(new Set(SESSIONS.map((one) => String(heardBytes(one)))).size).toBe(SESSIONS.length);
  });

  it('sends frames that do not overlap, near its period', () => {
    for (const { head, sent } of SESSIONS) {
      const starts = sent.map(({ fromMs }) => fromMs);
      for (const [i, { toMs }] of sent.entries())
        expect(starts[i + 1] ?? Infinity).toBeGreaterThanOrEqual(toMs);
      expect(head.periodMs).toBeGreaterThanOrEqual(50);
      expect(head.periodMs).toBeLessThanOrEqual(1000);
    }
  });

  it('writes its number in the columns that it names', () => {
    for (const { head, sent } of SESSIONS) {
      if (!head.columns) continue;
      for (const frame of sent.slice(0, 20)) {
        const body = String.fromCharCode(...frame.bytes).slice(head.start.length);
        const text = body.slice(head.columns.from, head.columns.to).replace(',', '.');
        const number = Number(text.replace(/ /g, ''));
        const scale = head.point === 'implied' ? Number(`1e${head.decimals}`) : 1;
        const kg = { kg: 1, lb: 0.45359237, g: 0.001 }[head.unit] * (number / scale);
        expect(Math.abs(kg - frame.kg)).toBeLessThan(1e-9);
      }
    }
  });

  it('is heard whole on a port opened as it sends, but for what the line does to it', () => {
    for (const session of SESSIONS) {
      const { head, sent } = session;
      const chunks = session.open(head.serial, LISTEN_FROM_MS).readUntil(LISTEN_FROM_MS + 10_000);
      const text = chunks.map(({ bytes }) => String.fromCharCode(...bytes)).join('');
      const within = sent.filter(
        ({ fromMs, toMs }) => fromMs > LISTEN_FROM_MS + 100 && toMs < LISTEN_FROM_MS + 9900,
      );
      const found = within.filter(({ bytes }) => text.includes(String.fromCharCode(...bytes)));
      expect(found.length).toBeGreaterThan(within.length * 0.85);
    }
  });
});
