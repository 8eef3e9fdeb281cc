import { describe, expect, it } from 'vitest';
import type { SheetAsk } from '../../../src/adapters/evening.ts';
import { openBook } from '../../../src/adapters/records/book-for-page.ts';
import { headWords } from '../../../src/adapters/records/words.ts';
import { letGo, session, siteFolder, writeRows } from './example.ts';

const ASK: SheetAsk = {
  ...{ day: null, farm: null, lot: 'Fit', pen: null, to: null },
  ...{ untagged: null, loaded: null, killingOut: null },
};

function site(): string {
  const siteDir = siteFolder();
  writeRows(siteDir, [
    session('S1', { farm: 'Low <Fold>', holding: 'ZZ 99/999', flockMark: 'ZZ0000' }),
    letGo(1, { tag: '999000000000001', recordedKg: 41 }),
    letGo(2, { tag: '999000000000002', recordedKg: 43 }),
    letGo(3, { recordedKg: 45 }),
    letGo(4, { recordedKg: 44, unsure: true }),
    letGo(5, { lot: 'Stores', recordedKg: 30 }),
  ]);
  return siteDir;
}

/** The sheet as text: `what | value` a line. */
function text(ask: Partial<SheetAsk>, siteDir = site()): string {
  const sheet = openBook(siteDir).sheet({ ...ASK, ...ask });
  if (typeof sheet !== 'string') throw new Error(sheet.refused);
  return sheet.replace(/<\/th>/g, ' | ').replace(/<[^>]*>/g, '');
}

describe('the lot sheet', () => {
  it('adds up: read, not read and untagged are the head', () => {
    const plain = text({ untagged: 1 });
    expect(plain).toContain('EID tags read | 2');
    expect(plain).toContain('Not read | 1');
    expect(plain).toContain('Untagged, counted by eye | 1');
    expect(plain).toContain('Head, the three together | 4');
  });

  it('says how many tags count in two sessions, and so does the day', () => {
    const siteDir = site();
    expect(text({}, siteDir)).not.toContain('two sessions');
    const again = (animal: number, tag: string) => letGo(animal, { session: 'S2', tag });
    writeRows(siteDir, [
      session('S2', { farm: 'Low <Fold>' }),
      ...[again(1, '999000000000001'), again(2, '999000000000002'), again(3, '999000000000003')],
    ]);
    const said = '2 tags were seen in two sessions, counted in each';
    expect(text({}, siteDir)).toContain(`Of these | ${said}`);
    const asked = { day: null, farm: null, killingOut: null, targetKg: null };
    const evening = openBook(siteDir).evening(asked);
    if (evening === null || 'farms' in evening) throw new Error('no evening');
    expect(evening.head.twice).toBe(2);
    expect(headWords(evening)).toContain(said);
  });

  it('says how many went the wrong way', () => {
    const siteDir = site();
    expect(text({}, siteDir)).not.toContain('wrong way');
    writeRows(siteDir, [letGo(6, { flags: ['wrong-way'], exit: 'left' })]);
    expect(text({}, siteDir)).toContain('Went the wrong way | 1 of Fit, but in left');
    expect(text({ lot: null, pen: 'left' }, siteDir)).toContain('1 of Fit, but in left');
  });

  it('weighs the sure ones and says how many are left out', () => {
    const plain = text({ killingOut: 45 });
    expect(plain).toContain('Average | 43.0 kg');
    expect(plain).toContain('41.0 kg to 45.0 kg');
    expect(plain).toContain('129.0 kg of 3 head; 1 not weighed for sure and not in it');
    // By hand: 43 kg * 45 % = 19.35 kg, 129 kg * 45 % = 58.05 kg.
    expect(plain).toMatch(
      /19\.[34] kg each, 58\.[01] kg in all, at the farmer&#39;s killing-out of 45 %/,
    );
    expect(text({})).toContain('no killing-out per cent was given');
  });

  it('sets the count at loading against the head', () => {
    expect(text({ loaded: 4 })).toContain('Difference | 0: they agree');
    expect(text({ loaded: 3 })).toContain('Difference | 1 fewer than on this sheet');
    expect(text({ loaded: 6 })).toContain('Difference | 2 more than on this sheet');
  });

  it('names where from, is not for trade, leaves the rest to label, vet and law', () => {
    const plain = text({ to: 'Holding "B"' });
    expect(plain).toContain('From holding | ZZ 99/999');
    expect(plain).toContain('Flock mark | ZZ0000');
    expect(plain).toContain('To | Holding &quot;B&quot;');
    expect(plain).toContain('Date | 12 September 2026');
    expect(plain).toContain('Not for trade use');
    expect(plain).toContain('Label, vet and local law decide');
    expect(plain).toContain('Farm | Low &lt;Fold&gt;');
  });

  it('names every animal that is or may be in withdrawal', () => {
    const siteDir = site();
    const reason = 'still in withdrawal, free on 2026-09-20';
    writeRows(siteDir, [letGo(9, { rule: 'withdrawal', reason, tag: '999000000000009' })]);
    const plain = text({}, siteDir);
    expect(plain).toContain('1 of these 5 are, or may be, in withdrawal');
    expect(plain).toContain('1 head free on 20 September 2026');
    const [page = '', list = ''] = plain.split(': the list');
    expect(page).toContain('00009');
    expect(list).toContain('Are, or may be, in withdrawal: 1 of 5');
    expect(list.split('999000000000009')).toHaveLength(3);
  });

  it('holds whom it knew to be held, whatever rule sent them', () => {
    const siteDir = site();
    const flags = ['in-withdrawal', 'free-on-2026-09-20'];
    writeRows(siteDir, [
      letGo(6, { rule: 'by-hand', reason: 'Fit, by hand', flags, tag: '999000000000006' }),
      letGo(7, { rule: 'overflow', flags: ['in-withdrawal'] }),
    ]);
    const plain = text({}, siteDir);
    expect(plain).toContain('2 of these 6 are, or may be, in withdrawal, as known when');
    expect(plain).toContain('1 head free on 20 September 2026');
    expect(plain).toContain('1 head first free day not known');
    expect(text({}, site())).toContain('held none of these animals back, as known when they were');
  });

  it('counts them on the page and names them behind it, where they are many', () => {
    const siteDir = site();
    const held = Array.from({ length: 50 }, (_, i) =>
      letGo(100 + i, {
        ...{ rule: 'withdrawal', tag: `9990000001${String(i).padStart(5, '0')}` },
        reason: `still in withdrawal, free on 2026-09-${i < 30 ? '20' : '21'}`,
      }),
    );
    writeRows(siteDir, held);
    const [page = '', list = ''] = text({}, siteDir).split(': the list');
    expect(page).toContain('30 head free on 20 September 2026');
    expect(page).toContain('20 head free on 21 September 2026');
    expect(page).toContain('stands on the list behind');
    expect(page).not.toContain('00007');
    expect(list).toContain('in withdrawal: 50 of 54');
    for (let i = 0; i < 50; i += 1)
      expect(list).toContain(`9990000001${String(i).padStart(5, '0')}`);
    expect(list).toContain('Tags read: 52 of 54');
  });

  it('is refused where it would not add up or has nobody on it', () => {
    const book = openBook(site());
    expect(book.sheet({ ...ASK, untagged: 3 })).toEqual({
      refused: '3 without a tag, but only 2 were not read: count again.',
    });
    expect(book.sheet({ ...ASK, lot: 'Heavy' })).toHaveProperty('refused');
    expect(book.sheet({ ...ASK, day: '2020-01-01' })).toHaveProperty('refused');
  });
});
