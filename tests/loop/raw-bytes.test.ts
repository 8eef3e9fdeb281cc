import { describe, expect, it } from 'vitest';
import { RawBytes } from '../../src/raw-bytes.ts';

const text = (record: { t: number; bytes: string }): [number, string] => [
  record.t,
  Buffer.from(record.bytes, 'base64').toString(),
];

function raw(): { raw: RawBytes; kept: [number, string][] } {
  const kept: [number, string][] = [];
  return { raw: new RawBytes((record) => kept.push(text(record))), kept };
}

describe('raw bytes on their way into the trace', () => {
  it('are one record a second while readings come out of them, none left out', () => {
    const { raw: bytes, kept } = raw();
    let sent = '';
    for (let t = 0; t < 10_000; t += 100) {
      const frame = `W${String(t).padStart(6, '0')}\r\n`;
      sent += frame;
      bytes.take(Buffer.from(frame), t);
      bytes.see({ t, kg: 40 });
      for (let tick = t; tick < t + 100; tick += 20) bytes.see({ t: tick, tick: true });
    }
    bytes.flush(10_000);
    expect(kept.map(([, part]) => part).join('')).toBe(sent);
    expect(kept.length).toBeLessThanOrEqual(12);
    const times = kept.map(([t]) => t);
    expect(times).toEqual(times.toSorted((a, b) => a - b));
  });

  it('are a record each, with its time, while nothing is read from them', () => {
    const { raw: bytes, kept } = raw();
    for (let t = 0; t < 500; t += 100) bytes.take(Buffer.from(`x${t}`), t);
    expect(kept).toEqual([
      [0, 'x0'],
      [100, 'x100'],
      [200, 'x200'],
      [300, 'x300'],
      [400, 'x400'],
    ]);
  });

  it('are written with the trace that they belong to', () => {
    const { raw: bytes, kept } = raw();
    bytes.see({ t: 5000, kg: 40 });
    bytes.take(Buffer.from('old'), 5050);
    bytes.end(5100);
    bytes.take(Buffer.from('new'), 20);
    bytes.see({ t: 1100, tick: true });
    expect(kept).toEqual([
      [5100, 'old'],
      [1100, 'new'],
    ]);
  });
});
