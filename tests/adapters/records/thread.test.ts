import type { Worker } from 'node:worker_threads';
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, it, onTestFinished } from 'vitest';
import type { FromWorker } from '../../../src/adapters/records/messages.ts';
import { openQueue } from '../../../src/adapters/records/queue.ts';
import { keepThread, startWorker } from '../../../src/adapters/records/thread.ts';
import { HEADER, letGo, once, siteFolder } from './example.ts';

it('a records thread that dies is replaced, and nothing is lost or written twice', async () => {
  const siteDir = siteFolder();
  const queue = openQueue();
  const workers: Worker[] = [];
  const hearers: ((answer: FromWorker) => void)[] = [];
  const options = {
    siteDir,
    zone: 'UTC',
    version: '0',
    header: HEADER,
    state: {},
    maxTraceBytes: 1e9,
    slowMs: 0,
  };
  const thread = keepThread(
    options,
    queue,
    (answer) => {
      for (const hear of hearers) hear(answer);
    },
    (data) => {
      const worker = startWorker(data);
      workers.push(worker);
      return worker;
    },
  );
  onTestFinished(async () => {
    await thread.close(1000);
  });
  const answer = (kind: FromWorker['kind']): Promise<FromWorker[]> =>
    once<[FromWorker]>(
      (hear) => hearers.push(hear),
      (heard) => heard.kind === kind,
    );

  const written = answer('lines');
  for (let t = 0; t < 50; t += 1) queue.line({ kind: 'line', record: { t, kg: 1 } });
  queue.row(letGo(1));
  await written;
  for (let t = 50; t < 60; t += 1) queue.line({ kind: 'line', record: { t, kg: 1 } });
  queue.row(letGo(2));
  const down = once<[boolean, string]>(queue.onLink, (up) => !up);
  const up = once<[boolean, string]>(queue.onLink, (isUp) => isUp);
  await workers[0]?.terminate();
  expect((await down)[1]).toContain('their thread stopped');
  queue.row(letGo(3));
  await up;
  expect(await thread.close(5000)).toEqual({ unsaved: 0 });

  expect(workers).toHaveLength(2);
  const db = new Database(join(siteDir, 'fank.db'));
  expect(db.prepare('SELECT animal FROM crossing').pluck().all()).toEqual([1, 2, 3]);
  db.close();
  const names = readdirSync(join(siteDir, 'traces'));
  expect(names).toHaveLength(1);
  const lines = readFileSync(join(siteDir, 'traces', names[0] ?? ''), 'utf8')
    .trim()
    .split('\n');
  expect(lines.slice(2).map((text) => (JSON.parse(text) as { t: number }).t)).toEqual(
    Array.from({ length: 60 }, (_, t) => t),
  );
});
