/** What people type or files bring in, and what must never get out: rows of `docs/security.md`. */
import { parse } from 'csv-parse/sync';
import { expect, onTestFinished, test, vi } from 'vitest';
import { letGo, session, writeRows } from '../records/example.ts';
import { newSite, OPERATOR, serve } from './served.ts';

const FORMULAS = [
  ...['=1+1', '+1+1', '-1+1', '@SUM(1;1)', '\t=1+1', '\r=1+1', '＝1+1'],
  // Where another sign divides the cells of the spreadsheet that opens it.
  ...['x;=1+1', 'x, =1+1', 'x\t=1+1'],
];

test('a lot, reason or farm that is a formula is a text in the spreadsheet file', async () => {
  const siteDir = await newSite();
  writeRows(siteDir, [
    session('S1', { farm: '=HYPERLINK("http://evil.example")' }),
    ...FORMULAS.map((formula, n) => letGo(n + 1, { lot: formula, reason: formula })),
  ]);
  const served = await serve({ siteDir });
  for (const separator of [',', ';', '\t']) {
    const url = `/api/book/csv?separator=${encodeURIComponent(separator)}`;
    const { body } = await served.inject({ url });
    for (const delimiter of [',', ';', '\t']) {
      const lenient = { relax_quotes: true, relax_column_count: true };
      const cells = parse(body, { delimiter, record_delimiter: '\n', ...lenient }).flat();
      if (delimiter === separator) expect(cells.length).toBeGreaterThan(FORMULAS.length * 10);
      // A number below zero is a number.
      const runs = cells.filter(
        (cell) => /^ *[=+\-@\t\r＝]/.test(cell) && Number.isNaN(Number(cell)),
      );
      expect(runs, `${separator} read by ${delimiter}`).toEqual([]);
    }
    expect(body).toContain("'=HYPERLINK");
  }
});

test('an error is logged without the question, the cookies and the body', async () => {
  const written: string[] = [];
  const spy = vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    written.push(String(text));
    return true;
  });
  onTestFinished(() => {
    spy.mockRestore();
  });
  const served = await serve();
  const cookies = await served.signIn(OPERATOR);
  vi.spyOn(served.commands, 'push').mockImplementation(() => {
    throw new Error('it broke');
  });
  const response = await served.inject({
    method: 'POST',
    url: `/api/command?pin=${OPERATOR}`,
    payload: { do: 'start' },
    cookies,
  });
  expect(response.statusCode).toBe(500);
  expect(response.body).not.toContain('it broke');
  const log = written.join('');
  expect(log).toContain('page: POST /api/command: Error: it broke');
  for (const secret of [OPERATOR, cookies['fank'] ?? '?', 'start']) {
    expect(log).not.toContain(secret);
  }
});
