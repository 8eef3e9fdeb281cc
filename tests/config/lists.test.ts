import { describe, expect, it } from 'vitest';
import { formatError } from '../../src/config/errors.ts';
import { readTags, readTreatments, readWeights, tagField } from '../../src/config/lists.ts';
import type { Loaded } from '../../src/config/errors.ts';
import { dayNumber } from '../../src/core/sortplan/days.ts';

const TODAY = dayNumber('2026-09-14');

function errors(loaded: Loaded<unknown>): string[] {
  return loaded.ok ? ['no error'] : loaded.errors.map(formatError);
}

function value<T>(loaded: Loaded<T>): T {
  if (!loaded.ok) throw new Error(loaded.errors.map(formatError).join('\n'));
  return loaded.value;
}

describe('a tag', () => {
  it.each([
    ['999000000001337', '999000000001337'],
    ['999 000000001337', '999000000001337'],
    ['0999000000001337', '999000000001337'],
    ['LA999000000001337', '999000000001337'],
    ['a999000000001337', '999000000001337'],
    ["'999000000001337", '999000000001337'],
    // The greatest 38-bit number (ISO 11784).
    ['999274877906943', '999274877906943'],
    ['001000000000001', '001000000000001'],
  ])('%s is read as %s', (text, tag) => {
    expect(tagField(text)).toEqual({ value: tag });
  });

  it.each([
    ['', 'the tag is missing'],
    ['99900000000133', '"99900000000133" is not a tag'],
    ['9990000000013371', '"9990000000013371" is not a tag'],
    ['B999000000001337', '"B999000000001337" is not a tag'],
    ['999274877906944', '999274877906944 is outside the range of tag numbers'],
    ['000000000001337', '000000000001337 is outside the range of tag numbers'],
    ['9.99E+14', 'the spreadsheet has shortened the tag to 9.99E+14'],
    ['9,99e14', 'the spreadsheet has shortened the tag to 9,99e14'],
    ['9E+14', 'the spreadsheet has shortened the tag to 9E+14'],
  ])('%s is refused', (text, message) => {
    expect(tagField(text)).toMatchObject({ message });
  });
});

describe('a tag list', () => {
  const of = (tag: string, farm: string | null = null): object => ({ tag, farm });

  it('may say whose each tag is', () => {
    const text = 'tag;farm\n999000000000001;Low Fold\n999000000000002;\n';
    expect(value(readTags(text, 'keep.csv')).rows).toEqual([
      of('999000000000001', 'Low Fold'),
      of('999000000000002'),
    ]);
  });

  it('has a header, or one tag a line', () => {
    const expected = {
      rows: [of('999000000000001'), of('999000000000002')],
      preview: {
        rows: 2,
        columns: ['tag'],
        unused: [],
        first: [['999000000000001'], ['999 000000000002'], ['999000000000001']],
        repeated: 1,
      },
    };
    const lines = '999000000000001\n999 000000000002\n\n999000000000001\n';
    expect(value(readTags(`tag\n${lines}`, 'keep.csv'))).toEqual(expected);
    expect(value(readTags(lines, 'keep.csv'))).toEqual(expected);
    expect(value(readTags(`\uFEFF${lines}`, 'keep.csv'))).toEqual(expected);
  });

  it('uses the one column that it knows, by any of its names', () => {
    const read = value(readTags('Name;EID;note\r\nRed;999000000000001;"a;b"\r\n', 'keep.csv'));
    expect(read.rows).toEqual([of('999000000000001')]);
    expect(read.preview).toMatchObject({ columns: ['EID'], unused: ['Name', 'note'] });
    expect(value(readTags('eid\tx\n999000000000001\t1\n', 'keep.csv')).rows).toHaveLength(1);
  });

  it('shows the first five rows', () => {
    const lines = Array.from({ length: 7 }, (_, n) => `99900000000000${String(n)}`);
    const { preview } = value(readTags(['tag', ...lines].join('\n'), 'keep.csv'));
    expect(preview.first).toEqual(lines.slice(0, 5).map((tag) => [tag]));
    expect([preview.rows, preview.repeated]).toEqual([7, 0]);
  });

  it('is taken whole or not at all, with every error at its place', () => {
    const text = 'name,tag\nRed,999000000000001\nBlue,12\nGreen,\n"a,b",9.9E+14\n';
    expect(errors(readTags(text, 'keep.csv'))).toEqual([
      'keep.csv:3:6: "12" is not a tag. Write its 15 digits.',
      'keep.csv:4:7: the tag is missing. Fill it in.',
      'keep.csv:5:1: the spreadsheet has shortened the tag to 9.9E+14. Format the column as text and export it again.',
    ]);
  });

  it('of the wrong kind is refused in few words', () => {
    expect(errors(readTags('', 'keep.csv'))).toEqual([
      'keep.csv:1:1: the file is empty. Check that it is the right file.',
    ]);
    expect(errors(readTags('tag\n\n', 'keep.csv'))).toEqual([
      'keep.csv:1:1: there is no row below the header. Add rows or choose another file.',
    ]);
    expect(errors(readTags('tags,kg\n1,2\n', 'keep.csv'))).toEqual([
      'keep.csv:1:1: there is no column tag. Did you mean "tags"?',
    ]);
    expect(errors(readTags('tag,eid\n1,2\n', 'keep.csv'))).toEqual([
      'keep.csv:1:1: two columns mean tag. Remove one of them.',
    ]);
    expect(errors(readTags('x'.repeat(4 * 1024 * 1024 + 1), 'keep.csv'))).toEqual([
      'keep.csv:1:1: the file is too long. Check that it is the right file.',
    ]);
    expect(errors(readTags('tag\n"999000000000001\n', 'keep.csv'))).toEqual([
      expect.stringMatching(
        /^keep\.csv:\d+:1: the row cannot be read \(.*\)\. Close or remove the quotes\.$/,
      ),
    ]);
    expect(errors(readTags('tag\n999000000000001,7\n', 'keep.csv'))).toEqual([
      'keep.csv:2:1: the row has more fields than the header. Check its commas.',
    ]);
  });

  it('with a hundred errors says twenty and how many more there are', () => {
    const all = errors(readTags(`tag\n${'x\n'.repeat(100)}`, 'keep.csv'));
    expect(all).toHaveLength(21);
    expect(all.at(-1)).toBe(
      'keep.csv:22:1: 80 more errors from here on. Check that it is the right file.',
    );
    expect(errors(readTags(`tag\n${'x\n'.repeat(20)}`, 'keep.csv'))).toHaveLength(20);
  });
});

describe('earlier weights', () => {
  it('are read with a decimal point, or a comma where semicolons separate', () => {
    const rows = [{ tag: '999000000000001', day: dayNumber('2026-08-24'), kg: 34.2 }];
    const point = 'date,tag,kg\n2026-08-24,999000000000001,34.2\n';
    expect(value(readWeights(point, 'w.csv', TODAY)).rows).toEqual(rows);
    const comma = 'tag;weight kg;weighed on\n999000000000001;34,2;2026-08-24\n';
    expect(value(readWeights(comma, 'w.csv', null)).rows).toEqual(rows);
  });

  it('say what is wrong row by row', () => {
    const text = [
      'tag,kg,date',
      '999000000000001,34.2,24/08/2026',
      '999000000000001,heavy,',
      '1,0,2026-09-15',
      '999000000000001,1000.5,2026-02-30',
      '999000000000002,30,2026-08-01',
      '999000000000002,31,2026-08-01',
      '999000000000002,30,2026-08-01',
    ].join('\n');
    expect(errors(readWeights(text, 'w.csv', TODAY))).toEqual([
      'w.csv:2:22: "24/08/2026" is no day that can be told for sure. Write it as year-month-day, e.g. 2026-09-14.',
      'w.csv:3:17: "heavy" is not a weight in kg. Write the number alone.',
      'w.csv:3:23: the day is missing. Write it as year-month-day, e.g. 2026-09-14.',
      'w.csv:4:1: "1" is not a tag. Write its 15 digits.',
      'w.csv:4:3: 0 kg is out of range. Give more than 0 and at most 1000 kg.',
      'w.csv:4:5: 2026-09-15 has not come yet. Correct the day.',
      'w.csv:5:17: 1000.5 kg is out of range. Give more than 0 and at most 1000 kg.',
      'w.csv:5:24: "2026-02-30" is no day that can be told for sure. Write it as year-month-day, e.g. 2026-09-14.',
      'w.csv:7:17: 999000000000002 has two weights on that day. Keep the right one.',
    ]);
  });

  it('of today and of 1000 kg are taken; the same row twice counts once', () => {
    const row = '999000000000001,1000,2026-09-14\n';
    expect(value(readWeights(`tag,kg,date\n${row}${row}`, 'w.csv', TODAY))).toMatchObject({
      rows: [{ kg: 1000 }],
      preview: { rows: 1, repeated: 1 },
    });
  });
});

describe('treatments', () => {
  const header = 'product,given,days,batch,use,tag,mob,colour\n';

  it('are given to tags, to a mob or to a colour mark', () => {
    const text = `${header}Drench,2026-09-01,6,B1,,999000000000001,,
Pour-on,2026-09-02,35,,off-label,,Top field,
Drench,2026-09-03,unclear,,Not-For-Food,,Top field,blue\n`;
    expect(value(readTreatments(text, 't.csv', TODAY)).rows).toEqual([
      {
        product: 'Drench',
        batch: 'B1',
        givenDay: dayNumber('2026-09-01'),
        days: 6,
        use: 'label',
        tags: ['999000000000001'],
        mob: null,
        colour: null,
        farm: null,
      },
      {
        product: 'Pour-on',
        batch: '',
        givenDay: dayNumber('2026-09-02'),
        days: 35,
        use: 'off-label',
        tags: [],
        mob: 'Top field',
        colour: null,
        farm: null,
      },
      {
        product: 'Drench',
        batch: '',
        givenDay: dayNumber('2026-09-03'),
        days: null,
        use: 'not-for-food',
        tags: [],
        mob: 'Top field',
        colour: 'blue',
        farm: null,
      },
    ]);
  });

  it('say what is wrong row by row', () => {
    const text = `${header}Drench,2026-09-01,6,B1,,,,
,2026-09-15,,B1,,1,,
Drench,2026-09-01,2.5,B1,offlabel,,Top field,
Drench,2026-09-01,-1,B1,,999000000000001,,\n`;
    expect(errors(readTreatments(text, 't.csv', TODAY))).toEqual([
      't.csv:2:25: given to nobody. Fill in tag, mob or colour.',
      't.csv:3:1: product is missing. Fill it in.',
      't.csv:3:2: 2026-09-15 has not come yet. Correct the day.',
      't.csv:3:13: the withdrawal days are missing. Write whole days for meat from the label, rounded up, or unclear: it is held then.',
      't.csv:3:18: "1" is not a tag. Write its 15 digits.',
      't.csv:4:19: "2.5" is no period. Write whole days for meat from the label, rounded up, or unclear: it is held then.',
      't.csv:4:26: "offlabel" is no kind of use. Did you mean "off-label"?',
      't.csv:5:19: "-1" is no period. Write whole days for meat from the label, rounded up, or unclear: it is held then.',
    ]);
    expect(errors(readTreatments('product,tag\nA,B\n', 't.csv', null))).toEqual([
      't.csv:1:1: there is no column given. Known here: product, tag.',
      't.csv:1:1: there is no column days. Known here: product, tag.',
    ]);
  });
});
