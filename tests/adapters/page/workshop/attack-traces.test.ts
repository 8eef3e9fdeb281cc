/** Trace files that are none, or that are bombs: rows of `docs/security.md`. */
import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { expect, test } from 'vitest';
import { INSTALLER, OPERATOR, serve, type Served } from '../served.ts';

const HEADER = '{"trace":1,"scale":{"divisionKg":0.1,"rateHz":10},"inputs":[]}\n';
const RECORD = '{"t":100,"kg":41.5}\n';

async function withTraces(files: Record<string, Buffer | string>) {
  const served = await serve();
  const dir = join(served.siteDir, 'traces');
  mkdirSync(dir);
  for (const [name, content] of Object.entries(files)) writeFileSync(join(dir, name), content);
  return { served, cookies: await served.signIn(INSTALLER), dir };
}

const ask = (served: Served, cookies: Record<string, string>, name: string) =>
  served.inject({ url: `/api/workshop/trace?name=${encodeURIComponent(name)}`, cookies });

test.each([
  ['10 MB of nothing in 10 KB', () => gzipSync(Buffer.alloc(10e6)), 'a line of it'],
  ['a line without end after a good beginning', () => gzipSync(HEADER + 'x'.repeat(2e6)), 'a line'],
  [
    'more lines than a day has',
    () => gzipSync(HEADER + '\n'.repeat(1.01e6)),
    'number of its lines',
  ],
  ['brackets without end', () => gzipSync(`${HEADER}{"t":1,"kg":${'['.repeat(900_000)}\n`), null],
  ['a time without end', () => gzipSync(`${HEADER}{"t":${2 ** 53 - 1},"kg":1}\n`), null],
  [
    'five thousand contacts',
    () => gzipSync(HEADER + lines(5000, (n) => `{"t":1,"input":"i${n}","on":true}`)),
    null,
  ],
])('a trace file that is a bomb: %s', async (_name, make, refusal) => {
  const { served, cookies } = await withTraces({ 'bomb.trace.ndjson.gz': make() });
  const order: string[] = [];
  const reading = ask(served, cookies, 'bomb.trace.ndjson.gz').then((answer) => {
    order.push('trace');
    return answer;
  });
  await new Promise((resolve) => setTimeout(resolve, 1));
  await served.inject({ method: 'POST', url: '/api/stop' });
  order.push('stop');
  const answer = await reading;
  expect(served.commands.map(({ command }) => command)).toEqual([{ do: 'stop' }]);
  expect(answer.body.length).toBeLessThan(64_000);
  if (refusal === null) {
    expect(answer.statusCode).toBe(200);
    return;
  }
  expect(order).toEqual(['stop', 'trace']);
  expect(answer.statusCode).toBe(422);
  expect(answer.json<{ reason: string }>().reason).toContain(refusal);
});

const lines = (count: number, make: (n: string) => string): string =>
  Array.from({ length: count }, (_, n) => `${make(String(n))}\n`).join('');

test('a trace by a name that leads elsewhere, or through a link, is not there', async () => {
  const { served, cookies, dir } = await withTraces({ 'a.trace.ndjson': HEADER + RECORD });
  symlinkSync(join(served.siteDir, 'secrets.json'), join(dir, 'link.trace.ndjson'));
  for (const name of [
    '../secrets.json',
    '../../a.trace.ndjson',
    '/etc/passwd',
    'link.trace.ndjson',
    'a.trace.ndjson\0',
    '.trace.ndjson',
  ]) {
    expect((await ask(served, cookies, name)).statusCode, name).toBe(404);
  }
  const list = await served.inject({ url: '/api/workshop/traces', cookies });
  expect(list.json<{ name: string }[]>().map(({ name }) => name)).toEqual(['a.trace.ndjson']);
  expect((await ask(served, cookies, 'a.trace.ndjson')).json()).toMatchObject({ lengthMs: 100 });
});

test('traces are opened with the installer’s PIN only', async () => {
  const { served } = await withTraces({ 'a.trace.ndjson': HEADER + RECORD });
  const operator = await served.signIn(OPERATOR);
  for (const url of ['/api/workshop/traces', '/api/workshop/trace?name=a.trace.ndjson']) {
    expect((await served.inject({ url })).statusCode).toBe(401);
    expect((await served.inject({ url, cookies: operator })).statusCode).toBe(403);
  }
});

test('many readings at once wait for each other, and too many are turned away', async () => {
  const { served, cookies } = await withTraces({
    'a.trace.ndjson': HEADER + RECORD.repeat(2000),
  });
  const all = await Promise.all(
    Array.from({ length: 8 }, () => ask(served, cookies, 'a.trace.ndjson')),
  );
  const statuses = all.map(({ statusCode }) => statusCode);
  expect(statuses.filter((status) => status === 200)).toHaveLength(3);
  expect(statuses.filter((status) => status === 503)).toHaveLength(5);
  expect((await ask(served, cookies, 'a.trace.ndjson')).statusCode).toBe(200);
});

test('a damaged one says so', async () => {
  const gz = gzipSync(HEADER + RECORD.repeat(1000));
  const { served, cookies } = await withTraces({
    'cut.trace.ndjson.gz': gz.subarray(0, gz.length - 20),
    'text.trace.ndjson': 'hello\n',
    'empty.trace.ndjson': '',
  });
  const reason = async (name: string) =>
    (await ask(served, cookies, name)).json<{ reason: string }>().reason;
  expect(await reason('cut.trace.ndjson.gz')).toContain('damaged');
  expect(await reason('text.trace.ndjson')).toContain('no trace');
  expect(await reason('empty.trace.ndjson')).toContain('empty');
});
