/** Connections that never end: rows of `docs/security.md`. */
import { connect, type AddressInfo, type Socket } from 'node:net';
import { request } from 'node:http';
import { expect, onTestFinished, test } from 'vitest';
import { layout, snapshot } from './sample.ts';
import { serve, type Served } from './served.ts';

async function listening(): Promise<{ served: Served; port: number }> {
  const served = await serve();
  await served.page.app.listen({ host: '0.0.0.0', port: 0 });
  const { port } = served.page.app.server.address() as AddressInfo;
  return { served, port };
}

/** Opens a connection that says `first` and then nothing; resolves with the answer's first line. */
function open(port: number, first: string): { socket: Socket; head: Promise<string> } {
  const socket = connect(port, '127.0.0.1');
  onTestFinished(() => {
    socket.destroy();
  });
  const head = new Promise<string>((resolve) => {
    socket.on('error', () => {
      resolve('');
    });
    socket.on('close', () => {
      resolve('');
    });
    socket.once('data', (data) => {
      // From here on it takes nothing.
      socket.pause();
      resolve(String(data).slice(0, 12));
    });
    socket.write(first);
  });
  return { socket, head };
}

function statusFrom(localAddress: string, port: number, method: string, path: string) {
  return new Promise<number | string>((resolve) => {
    const asked = request({ host: '127.0.0.1', port, method, path, localAddress }, (response) => {
      response.destroy();
      resolve(response.statusCode ?? 0);
    });
    asked.on('error', (error) => {
      resolve(error.message);
    });
    asked.end();
  });
}

test('200 that never read: eight are kept, others look on, memory stays', async () => {
  const { served, port } = await listening();
  const ask = 'GET /api/live HTTP/1.1\r\nHost: localhost\r\n\r\n';
  const answers = await Promise.all(Array.from({ length: 200 }, () => open(port, ask).head));
  expect(answers.filter((head) => head === 'HTTP/1.1 200')).toHaveLength(8);
  expect(await statusFrom('127.0.0.2', port, 'GET', '/api/live')).toBe(200);
  served.page.describe(layout);
  const before = process.memoryUsage().arrayBuffers + process.memoryUsage().heapUsed;
  for (let seq = 1; seq <= 20_000; seq++) {
    served.time.mono += 100;
    served.page.show(snapshot({ seq, t: seq * 100 }));
    if (seq % 500 === 0) await new Promise((resolve) => setImmediate(resolve));
  }
  const grown = process.memoryUsage().arrayBuffers + process.memoryUsage().heapUsed - before;
  expect(grown).toBeLessThan(100 * 1024 * 1024);
  const metrics = await served.inject({ url: '/metrics' });
  expect(metrics.body).toMatch(/fank_page_frames_dropped_total [1-9]/);
  expect(metrics.body).toMatch(/fank_page_streams 0\n/);
});

test('200 requests that never end: a stop from another address is taken', async () => {
  const { served, port } = await listening();
  const half = 'POST /api/command HTTP/1.1\r\nHost: localhost\r\nContent-Length: 100\r\n';
  let turnedAway = 0;
  for (let n = 0; n < 200; n++) void open(port, half).head.then(() => (turnedAway += 1));
  await expect.poll(() => turnedAway, { timeout: 20_000 }).toBe(200 - 32);
  expect(await statusFrom('127.0.0.2', port, 'POST', '/api/stop')).toBe(200);
  expect(served.commands.map(({ command }) => command)).toEqual([{ do: 'stop' }]);
});
