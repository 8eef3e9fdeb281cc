import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { createSession } from '../../simulator/head-session.ts';
import { runSamples } from '../../src/config/frames/samples.ts';
import { readProfile, shippedProfiles } from '../../src/config/profiles.ts';
import { infer } from '../../src/listen/infer.ts';
import { hear } from './hearing.ts';
import { score } from './score.ts';

const folder = join(shippedProfiles(), 'scales');
const known = readdirSync(folder).flatMap((file) => {
  const read = readProfile('scale', readFileSync(join(folder, file), 'utf8'), file);
  return read.ok ? [read.value] : [];
});

it('is right or not sure about the first seeded heads, never wrong', () => {
  const outcomes = Array.from({ length: 12 }, (_, i) => {
    const session = createSession(i + 1);
    const heard = hear(session, known);
    expect(profileTrouble(heard.finding.profile), `seed ${i + 1}`).toBeNull();
    return score(session, heard).outcome;
  });
  expect(outcomes).not.toContain('wrong');
  expect(outcomes.filter((outcome) => outcome === 'right').length).toBeGreaterThanOrEqual(11);
});

it.each<[number, string, string]>([
  [4043, 'right', 'a check sum proves frames of a width that is seldom'],
  [
    7019,
    'not sure',
    'the last letter of one frame over and over is right for a check sum by chance',
  ],
  [6485, 'not sure', 'one damaged frame was all that spoke for rest'],
  [6719, 'right', 'the usual words stand twice, and only the second follows the load'],
  [6814, 'not sure', 'figures follow a weight of nought at once'],
  [7184, 'right', 'a usual word stays as it is, and another letter follows the load'],
] as const)('seed %i is %s: %s', (seed, outcome) => {
  const session = createSession(seed);
  expect(score(session, hear(session, known)).outcome).toBe(outcome);
});

/** What `fank profile` would say against it; one that was not written says nothing. */
function profileTrouble(yaml: string | null): string | null {
  if (yaml === null) return null;
  const read = readProfile('scale', yaml, 'found.yaml');
  if (!read.ok) return read.errors[0]?.message ?? 'refused';
  return runSamples(read.value).find(({ expected }) => expected !== null)?.gave ?? null;
}

for (const profile of known)
  for (const { bytes, reads } of profile.samples) {
    if (reads === 'nothing' || reads.kg === null) continue;
    it(`finds ${JSON.stringify(bytes)} of ${profile.name}`, () => {
      const text = Array.from({ length: 12 }, (_, frame) =>
        Array.from(bytes, (char) => ({ t: frame * 100, byte: char.charCodeAt(0) })),
      ).flat();
      const serial = { baud: 9600, framing: profile.serial.framing };
      const found = { ...serial, everySpeed: false, text, evidence: [], anything: true };
      const { sure, kg } = infer(found, { known, knownKg: null, ask: null });
      expect({ sure, kg: reads.motion ? null : kg }).toEqual({
        sure: true,
        kg: reads.motion ? null : reads.kg,
      });
    });
  }
