import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createReceiver, createWire, type OnError, type Serial } from '../../simulator/uart.ts';

/** What a port that was opened in one way gives of bytes that were sent in another. */
function heard(bytes: number[], sent: Serial, opened: Serial, onError: OnError = 'drop'): number[] {
  const wire = createWire();
  const end = wire.send(1000, Uint8Array.from(bytes), sent);
  const receiver = createReceiver(wire, opened, onError, 0);
  return receiver.readUntil(end + 1_000_000).map(({ byte }) => byte);
}

const TEXT = Array.from('ST,GS,+   41.5kg\r\n', (char) => char.charCodeAt(0));
const onesOf = (byte: number): number => byte.toString(2).replace(/0/g, '').length;
const at = (baud: number, framing = '8N1'): Serial => ({ baud, framing });

describe('a wire read as it was sent', () => {
  it('gives the bytes, in every framing', () => {
    const framings = ['8N1', '8N2', '8E1', '8O1', '7E1', '7O1', '7N2', '7N1', '7E2', '5O1'];
    fc.assert(
      fc.property(
        fc.array(fc.nat(255), { maxLength: 40 }),
        fc.constantFrom(...framings),
        fc.constantFrom(300, 9600, 115200),
        (bytes, framing, baud) => {
          const mask = 2 ** Number(framing[0]) - 1;
          // All bits low with a high stop bit is a 0, not a break.
          expect(heard(bytes, at(baud, framing), at(baud, framing))).toEqual(
            bytes.map((byte) => byte & mask),
          );
        },
      ),
    );
  });

  it('bears a clock that is 2 % off', () => {
    expect(heard(TEXT, at(9600), at(9600 * 1.02))).toEqual(TEXT);
    expect(heard(TEXT, at(9600), at(9600 * 0.98))).toEqual(TEXT);
  });
});

describe('a wire read in another way', () => {
  it('shows even parity of seven bits in the eighth', () => {
    const even = TEXT.map((byte) => byte + (onesOf(byte) % 2) * 128);
    expect(heard(TEXT, at(9600, '7E1'), at(9600))).toEqual(even);
  });

  it('gives only 0 where the port is more than ten times too fast', () => {
    const bytes = heard(TEXT, at(9600), at(115200));
    expect(bytes.length).toBeGreaterThan(TEXT.length);
    expect(new Set(bytes)).toEqual(new Set([0]));
  });

  it('gives each bit twice at double speed', () => {
    for (const byte of heard(TEXT, at(9600), at(19200), 'keep')) {
      const bits = [0, 1, 2, 3, 4, 5, 6, 7].map((bit) => (byte >> bit) & 1);
      expect(bits[0]).toBe(0);
      expect([bits[1], bits[3], bits[5]]).toEqual([bits[2], bits[4], bits[6]]);
    }
  });

  it('loses sense at half speed', () => {
    const text = String.fromCharCode(...heard(TEXT, at(9600), at(4800), 'keep'));
    expect(text).not.toContain('41.5');
  });

  it('leaves out bytes of wrong parity, or gives them, as the adapter does', () => {
    const odd = TEXT.filter((byte) => onesOf(byte) % 2 === 1);
    expect(heard(TEXT, at(9600, '8E1'), at(9600), 'drop')).toEqual(odd);
    expect(heard(TEXT, at(9600, '8E1'), at(9600), 'keep')).toEqual(TEXT);
    expect(heard(TEXT, at(9600, '8E1'), at(9600, '8O1'), 'drop')).toEqual([]);
  });

  it('takes a short pulse for no byte', () => {
    const wire = createWire();
    wire.pulse(1000, 40);
    expect(createReceiver(wire, at(9600), 'keep', 0).readUntil(1e6)).toEqual([]);
  });
});
