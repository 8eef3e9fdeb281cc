import { mkdtempSync, readdirSync, realpathSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SerialPort } from 'serialport';
import { expect, test } from 'vitest';
import { openPty, stableName } from '../../simulator/pty.ts';

function open(path: string): Promise<SerialPort> {
  return new Promise((resolve, reject) => {
    const port = new SerialPort({ path, baudRate: 9600, autoOpen: false });
    port.on('error', () => undefined);
    port.open((error) => {
      if (error) reject(error);
      else resolve(port);
    });
  });
}

test('bytes pass both ways through a port opened by its path', async () => {
  const pty = openPty();
  const port = await open(pty.path);
  const arrived = new Promise<Buffer>((resolve) => port.once('data', resolve));
  pty.write('ST,GS,+   41.5kg\r\n');
  expect((await arrived).toString('latin1')).toBe('ST,GS,+   41.5kg\r\n');
  const asked = new Promise<Uint8Array>((resolve) => {
    pty.onData(resolve);
  });
  port.write(Buffer.from([0x0a, 0x57, 0x0d]));
  expect([...(await asked)]).toEqual([0x0a, 0x57, 0x0d]);
  const closed = new Promise<Error | undefined>((resolve) => port.once('close', resolve));
  pty.close();
  expect(await closed).toHaveProperty('disconnected', true);
  expect(pty.write('x')).toBe(0);
});

test('writing with nobody reading loses bytes and does not wait', () => {
  const pty = openPty();
  let taken = 0;
  for (let i = 0; i < 100; i++) taken += pty.write(new Uint8Array(1000).fill(0x20));
  pty.close();
  expect(taken).toBeLessThan(100_000);
});

test('a port can be closed and opened again on the same pty', async () => {
  const pty = openPty();
  for (let i = 0; i < 3; i++) {
    const port = await open(pty.path);
    const arrived = new Promise<Buffer>((resolve) => port.once('data', resolve));
    pty.write(String(i));
    expect((await arrived).toString()).toBe(String(i));
    await new Promise((resolve) => {
      port.close(resolve);
    });
  }
  pty.close();
});

test('100 pairs leave no descriptor', async () => {
  const count = (): number => readdirSync('/proc/self/fd').length;
  openPty().close();
  await new Promise(setImmediate);
  const before = count();
  for (let i = 0; i < 100; i++) openPty().close();
  await new Promise(setImmediate);
  expect(count()).toBeLessThanOrEqual(before);
});

test('a stable name follows from one device to the next', () => {
  const folder = mkdtempSync(join(tmpdir(), 'fank-pty-'));
  const name = stableName(join(folder, 'weigh-head'));
  const first = openPty();
  const second = openPty();
  name.pointAt(first.path);
  expect(realpathSync(name.path)).toBe(first.path);
  name.pointAt(second.path);
  expect(realpathSync(name.path)).toBe(second.path);
  name.remove();
  name.remove();
  expect(readdirSync(folder)).toEqual([]);
  first.close();
  second.close();
  rmSync(folder, { recursive: true });
});
