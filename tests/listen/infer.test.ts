import { describe, expect, it } from 'vitest';
import { infer, type Finding } from '../../src/listen/infer.ts';

/** What is inferred from frames that came one every `everyMs`. */
function inferred(
  frames: readonly string[],
  everyMs = 100,
  knownKg: number | null = null,
): Finding {
  const text = frames.flatMap((frame, i) =>
    Array.from(frame, (char) => ({ t: i * everyMs, byte: char.charCodeAt(0) })),
  );
  const found = { baud: 9600, framing: '8N1', everySpeed: false, text, evidence: [] };
  return infer({ ...found, anything: true }, { known: [], knownKg, ask: null });
}

const repeated = (frame: string, times: number): string[] =>
  Array.from({ length: times }, () => frame);

/** Nothing, something that comes on and stands, nothing again. */
const VISIT = [
  ...Array.from({ length: 12 }, () => 0),
  ...[4.2, 13, 27.5, 36, 41],
  ...Array.from({ length: 20 }, (_, i) => 41.5 + 0.1 * (i % 2)),
  ...[33, 12.5, 2],
  ...Array.from({ length: 15 }, () => 0),
];

/** In motion as long as the last ten weights are more than a division apart. */
function moves(i: number): boolean {
  const last = VISIT.slice(Math.max(0, i - 9), i + 1);
  return Math.max(...last) - Math.min(...last) > 0.11;
}

const written = (kg: number): string => kg.toFixed(1).padStart(7);

describe('the mark', () => {
  it('that follows the load is motion', () => {
    const found = inferred(VISIT.map((kg, i) => `${moves(i) ? 'K' : 'V'},${written(kg)}\r\n`));
    expect(found).toMatchObject({ sure: true, motion: true, kg: 0, doubts: [] });
    expect(found.profile).toContain('K: motion');
  });

  it.each(['ST,', 'US,'])(
    'is not the usual word %j where that stays and another follows the load',
    (word) => {
      const other = word === 'ST,' ? ['K', 'V'] : ['US', 'ST'];
      const found = inferred(
        VISIT.map((kg, i) => `${word}${String(other[moves(i) ? 0 : 1])},${written(kg)}\r\n`),
      );
      expect(found).toMatchObject({ sure: true, motion: true, doubts: [] });
      expect(found.readings[3]).toMatchObject({ kg: 0, motion: false });
      expect(found.readings.find(({ kg }) => kg === 27.5)).toMatchObject({ motion: true });
    },
  );

  it('that is there whenever nothing is on is zero, and tells no motion', () => {
    const found = inferred(VISIT.map((kg) => `${kg === 0 ? 'K' : 'V'},${written(kg)}\r\n`));
    expect(found).toMatchObject({ sure: true, motion: false });
    expect(found.profile).toContain('K: zero');
  });

  it('that changes for no reason that is seen leaves a doubt', () => {
    const found = inferred(VISIT.map((kg, i) => `${i % 7 < 3 ? 'K' : 'V'},${written(kg)}\r\n`));
    expect(found.sure).toBe(false);
    expect(found.doubts.join()).toContain('may tell motion or zero');
  });
});

describe('a point that is not written', () => {
  it('stands where the load is a sheep', () => {
    const found = inferred(
      VISIT.map((kg) => `${String(Math.round(kg * 10)).padStart(6, '0')} kg\r`),
    );
    expect(found).toMatchObject({ sure: true, unit: 'kg', kg: 0 });
    expect(found.profile).toContain('decimals: 1');
  });

  it('stands one digit from the end where zero is written 00', () => {
    const found = inferred(repeated('    00 kg\r', 30));
    expect(found).toMatchObject({ sure: true, kg: 0 });
    expect(found.profile).toContain('decimals: 1');
  });

  it.each(['     0 kg\r', '000000 kg\r'])('is not known from %j over and over', (frame) => {
    const found = inferred(repeated(frame, 30));
    expect(found).toMatchObject({ sure: false, kg: 0 });
    expect(found.doubts.join()).toContain('--known 20');
  });

  it('is settled by a known weight', () => {
    const found = inferred(repeated('000200 kg\r', 30), 100, 20);
    expect(found).toMatchObject({ sure: true, kg: 20 });
    expect(inferred(repeated('000200 kg\r', 30), 100, 35).sure).toBe(false);
  });
});

describe('the number', () => {
  it('with more digits after its point than a crate shows may have swallowed what follows it', () => {
    const found = inferred(
      Array.from({ length: 40 }, (_, i) => `ST +   0.02${String(i < 9 ? 2 : 3)}\r\n`),
    );
    expect(found.sure).toBe(false);
    expect(found.doubts.join()).toContain('put something on');
  });

  it('ends at a comma that divides fields, also where a count follows', () => {
    const found = inferred(
      VISIT.map((kg, i) => `7,GS,+${String(Math.round(kg * 10)).padStart(6)},${String(i + 100)}\r`),
    );
    expect(found).toMatchObject({ sure: true, kg: 0 });
    expect(found.profile).toContain('decimals: 1');
    expect(inferred(VISIT.map((kg) => `${written(kg).replace('.', ',')} kg\r`))).toMatchObject({
      ...{ sure: true, kg: 0 },
    });
  });

  it('may outgrow the width to which it is padded', () => {
    const heavy = VISIT.map((kg) => kg * 2.5);
    const found = inferred(heavy.map((kg) => `G ${kg.toFixed(1).padStart(4)}lbQ\r\n`));
    expect(found).toMatchObject({ sure: true, unit: 'lb' });
    expect(found.readings.some(({ kg }) => (kg ?? 0) > 45)).toBe(true);
  });

  it('of two that are alike is not chosen while nothing is on', () => {
    const found = inferred(repeated('S,    0.0,    0.0\r\n', 30));
    expect(found.sure).toBe(false);
    expect(found.doubts.join()).toContain('two numbers may be the weight');
  });
});

describe('damage', () => {
  it('in the pause between frames is told and does not hide the frames', () => {
    const text = VISIT.flatMap((kg, i) => [
      ...Array.from(`V,${written(kg)}\r\n`, (char) => ({ t: i * 100, byte: char.charCodeAt(0) })),
      ...(i % 3 === 0 ? [{ t: i * 100 + 50, byte: 0xff }] : []),
    ]);
    const found = { baud: 9600, framing: '8N1', everySpeed: false, text, evidence: [] };
    const { sure, evidence } = infer(
      { ...found, anything: true },
      { known: [], knownKg: null, ask: null },
    );
    expect(sure).toBe(true);
    expect(evidence.join()).toContain('interference: stray bytes in the pause');
  });

  it('that hides whether a load came to rest leaves a doubt', () => {
    const frames = VISIT.map((kg, i) => (i > 15 && i % 3 === 0 ? '' : `V,${written(kg)}\r\n`));
    expect(inferred(frames.slice(5, 40)).sure).toBe(false);
  });

  it('does not look like a weight at rest where everything moved', () => {
    const found = inferred(Array.from({ length: 60 }, (_, i) => `V,${written(20 + (i % 9))}\r\n`));
    expect(found).toMatchObject({ sure: true, kg: null, motion: false });
  });
});
