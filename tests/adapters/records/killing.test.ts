import { expect, it } from 'vitest';
import { siteFolder } from './example.ts';
import { findings, runAndKill, type Told } from './killing.ts';

// Some kills by time; the campaign at every write and sync is kill-campaign.ts.
it('a Fank killed in the middle of its work loses no confirmed crossing and keeps none twice', async () => {
  const siteDir = siteFolder();
  const told: Told = { sent: new Set(), saved: new Set() };
  let kills = 0;
  for (const [sent, thenMs] of [
    [0, 0],
    [1, 1],
    [2, 3],
    [3, 0],
    [2, 8],
  ] as const) {
    if (await runAndKill(siteDir, told, { sent, thenMs })) kills += 1;
    expect(findings(siteDir, told), `killed ${thenMs} ms after animal ${sent} was sent`).toEqual(
      [],
    );
  }
  expect(kills).toBe(5);
  expect(told.saved.size).toBeGreaterThanOrEqual(8);
});
