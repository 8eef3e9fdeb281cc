import { Command } from 'commander';
import { parse } from 'csv-parse/sync';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { bookCommand } from '../../src/cli/book.ts';
import { letGo, session, siteFolder, wall, writeRows } from '../adapters/records/example.ts';

const TAG = '999000000000123';
const DAY_MS = 86_400_000;

/** Runs `fank book` and gives what it printed and its exit code. */
async function book(...args: string[]): Promise<{ out: string; err: string; code: unknown }> {
  const printed = { out: '', err: '' };
  vi.spyOn(process.stdout, 'write').mockImplementation((text) =>
    Boolean((printed.out += String(text))),
  );
  vi.spyOn(process.stderr, 'write').mockImplementation((text) =>
    Boolean((printed.err += String(text))),
  );
  const program = new Command();
  bookCommand(program);
  await program.parseAsync(['book', ...args], { from: 'user' });
  const code = process.exitCode;
  process.exitCode = 0;
  vi.restoreAllMocks();
  return { ...printed, code };
}

afterEach(() => {
  vi.restoreAllMocks();
});

function twoDays(): string {
  const siteDir = siteFolder();
  writeRows(siteDir, [
    session('S1', { farm: 'Low Fold', hoursOffFeed: 2 }),
    letGo(1, { tag: TAG }),
    letGo(2, { recordedKg: null, unsure: true, lot: null, reason: '=HYPERLINK("x")' }),
    letGo(1, { session: 'S2', recordedKg: 36.25, lot: 'Stores' }, wall(DAY_MS)),
  ]);
  return siteDir;
}

describe('fank book', () => {
  it('prints the latest day with crossings if none is given', async () => {
    const { out, code } = await book('--site', twoDays());
    expect(code).toBe(0);
    expect(out).toContain('2026-09-13 (Europe/London)');
    expect(out).toMatch(/^09:00:00 +1 +- +36\.25 +0\.12 +Stores +ahead +settled$/m);
    expect(out).toContain('Stores, head from 36 kg: 1');
  });

  it('prints the latest day of the farm that is asked for', async () => {
    const { out, code } = await book('--site', twoDays(), '--farm', 'Low Fold');
    expect(code).toBe(0);
    expect(out).toContain('2026-09-12 (Europe/London)');
    expect((await book('--site', twoDays(), '--farm', 'Hill End')).code).toBe(1);
  });

  it('says that it is not for trade, and what the checks with a known mass of that day found', async () => {
    const siteDir = twoDays();
    const done = { massKg: 20, cornersKg: [], maxKg: 200, divisionKg: 0.1, who: null };
    const check = (middleKg: number, at: number) =>
      ({ kind: 'check-weight', check: { ...done, middleKg }, wall: wall(at) }) as const;
    writeRows(siteDir, [check(20, 0), check(20.3, DAY_MS)]);
    const { out } = await book('--site', siteDir);
    expect(out).toContain('not for trade use');
    expect(out.match(/^check weight .*$/gm)).toEqual([
      'check weight 09:00: 20 kg read 20.30 kg (+0.30 kg), +0.30 kg since the check before, ' +
        'MORE than the 0.10 kg of class III in service',
    ]);
  });

  it('prints csv with one header line and one line an animal, formulas neutralised', async () => {
    const { out } = await book('--site', twoDays(), '--day', '2026-09-12', '--format', 'csv');
    const rows = parse(out, { columns: true });
    expect(rows).toHaveLength(2);
    expect(rows[0]).toMatchObject({
      animal: '1',
      tag: TAG,
      kg: '41.5',
      lot: 'Fit',
      time: '09:00:10',
    });
    expect(rows[1]).toMatchObject({ kg: '', unsure: 'yes', reason: '\'=HYPERLINK("x")' });
  });

  it('prints csv as spreadsheets of other languages read it', async () => {
    const style = ['--separator', ';', '--decimal', ',', '--bom'];
    const { out } = await book('--site', twoDays(), '--format', 'csv', ...style);
    expect(out.startsWith('\uFEFFday;time;')).toBe(true);
    expect(parse(out, { columns: true, delimiter: ';', bom: true })[0]).toMatchObject({
      kg: '36,25',
    });
  });

  it('prints one collection of weight events, of the weighed animals', async () => {
    const { out } = await book('--site', twoDays(), '--day', '2026-09-12', '--format', 'icar');
    expect(JSON.parse(out)).toEqual({
      view: { totalItems: 1, totalPages: 1, currentPage: 1 },
      member: [
        expect.objectContaining({
          resourceType: 'icarWeightEventResource',
          id: 'S1/1',
          eventDateTime: '2026-09-12T08:00:10.000Z',
          animal: { id: TAG, scheme: 'std.iso.11785' },
          weight: { measurement: 41.5, units: 'KGM', method: 'LoadCell', resolution: 0.1 },
          timeOffFeed: 2,
        }),
      ],
    });
  });

  it('names an animal without a tag by its crossing, and states no time by an unset clock', async () => {
    const siteDir = siteFolder();
    writeRows(siteDir, [letGo(7, {}, wall(0, false))]);
    const { out } = await book('--site', siteDir, '--format', 'icar');
    const { member } = JSON.parse(out) as { member: Record<string, unknown>[] };
    expect(member[0]?.animal).toEqual({
      id: 'S1/7',
      scheme: expect.stringMatching(/^local\.fank\.[0-9a-f-]{36}\.crossing$/) as string,
    });
    expect(member[0]).not.toHaveProperty('eventDateTime');
    expect(member[0]?.remark).toContain('the clock was not set');
  });

  it('never puts two farms into one print', async () => {
    const siteDir = siteFolder();
    const other = letGo(1, { session: 'S2' });
    writeRows(siteDir, [
      session('S1', { farm: 'Low Fold' }),
      session('S2', { farm: 'Hill End' }),
      letGo(1),
      other,
    ]);
    const refused = await book('--site', siteDir);
    expect(refused).toMatchObject({ out: '', code: 2 });
    expect(refused.err).toContain('Low Fold, Hill End');
    const { out } = await book('--site', siteDir, '--farm', 'Hill End', '--format', 'csv');
    expect(parse(out, { columns: true })).toMatchObject([{ session: 'S2', farm: 'Hill End' }]);
  });

  it('says no where that day has no crossings, and what is wrong with a wrong use', async () => {
    const siteDir = twoDays();
    expect(await book('--site', siteDir, '--day', '2026-01-01')).toMatchObject({
      out: '',
      code: 1,
    });
    expect(await book('--site', siteDir, '--day', '2026-02-30')).toMatchObject({
      out: '',
      code: 2,
    });
    const none = await book('--site', `${siteDir}/none`);
    expect(none).toMatchObject({ out: '', code: 2 });
    expect(none.err).toContain('--site');
  });
});
