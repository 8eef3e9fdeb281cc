/** A check with a known mass, from the page's order to the day book. */
import { expect, test } from 'vitest';
import { readChecks } from '../../src/adapters/records/check-weights.ts';
import { openForReading } from '../../src/adapters/records/reader.ts';
import { changeSite, type Changing } from '../../src/knowledge.ts';
import { recordsOf, siteFolder, wall } from '../adapters/records/example.ts';

test('it needs no standstill, writes no file, and is in the day book', async () => {
  const dir = siteFolder();
  const records = recordsOf(dir);
  await records.ready;
  const loop = { whyNotReconfigure: () => 'an animal is on' };
  const changing = {
    loop,
    writeFiles: () => Promise.reject(new Error('no file is to be written')),
    keepCheck: (check: Parameters<Changing['keepCheck']>[0]) => {
      records.checkWeight({ ...check, maxKg: 200, divisionKg: 0.1 }, wall(0));
    },
  } as unknown as Changing;
  const check = { massKg: 20, middleKg: 20.1, cornersKg: [20, 20.1], who: 'operator' };
  expect(await changeSite({ files: [], use: null, weights: [], check }, changing)).toEqual({
    ok: true,
  });
  expect(await records.close()).toEqual({ unsaved: 0 });
  const db = openForReading(dir);
  expect(readChecks(db, null, 9)).toMatchObject([{ ...check, found: { within: true } }]);
  db.close();
});
