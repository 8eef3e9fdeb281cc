import {
  chmodSync,
  chownSync,
  mkdirSync,
  mkdtempSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openPty } from '../../simulator/pty.ts';
import { portTrouble, portWarning, stablePorts } from '../../src/adapters/port-names.ts';

let folder: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'fank-ports-'));
});

afterEach(() => {
  rmSync(folder, { recursive: true });
});

describe('a bare name is warned about', () => {
  test('with the lasting name that means the same device', async () => {
    const byId = join(folder, 'by-id');
    mkdirSync(byId);
    symlinkSync('/dev/ttyUSB7', join(byId, 'usb-Serial_7-port0'));
    symlinkSync('/dev/null', join(byId, 'usb-Other-port0'));
    expect(await stablePorts(byId)).toHaveLength(2);
    const warning = await portWarning('/dev/ttyUSB7', [byId]);
    expect(warning).toMatch(/may be another device after the next start or replug/);
    expect(warning).toContain(`Use its lasting name: ${byId}/usb-Serial_7-port0.`);
    expect(await portWarning('/dev/ttyACM0', [byId])).toContain(
      `No lasting name was found under ${byId}`,
    );
  });

  test.each(['/dev/ttyS0', '/dev/serial/by-id/usb-x', '/dev/pts/3', '/dev/ttyAMA0'])(
    '%s is not bare',
    async (path) => {
      expect(await portWarning(path, [folder])).toBeNull();
    },
  );

  test('no folder of lasting names is no error', async () => {
    expect(await stablePorts(join(folder, 'none'))).toEqual([]);
  });
});

describe('why a port cannot be opened, and what to do', () => {
  test('it is not there', async () => {
    const text = await portTrouble(
      '/dev/ttyUSB7',
      new Error('Error: No such file or directory, cannot open /dev/ttyUSB7'),
    );
    expect(text).toMatch(/^\/dev\/ttyUSB7 is not there\. Check the cable and the adapter\. /);
  });

  test('this user may not: the group that owns it, by name', async () => {
    const port = join(folder, 'port');
    writeFileSync(port, '');
    chmodSync(port, 0o660);
    const error = new Error(`Error: Permission denied, cannot open ${port}`);
    if (process.getuid?.() === 0) {
      // Group 5 is tty on Debian; the name is looked up, not assumed.
      chownSync(port, 0, 5);
      expect(await portTrouble(port, error)).toMatch(/Join the group tty: sudo usermod -aG tty/);
      chownSync(port, 0, 0);
      expect(await portTrouble(port, error)).toMatch(/Join the group dialout: /);
    }
    expect(await portTrouble(join(folder, 'gone'), error)).toMatch(/Join the group dialout: /);
  });

  test('it is taken: by which program', async () => {
    const pty = openPty();
    const error = new Error('Error Resource temporarily unavailable Cannot lock port');
    const text = await portTrouble(pty.path, error);
    expect(text).toMatch(new RegExp(`is taken by .+ \\(process ${process.pid}, this one\\)`));
    pty.close();
  });

  test('it is taken by a program that this user may not see', async () => {
    const port = join(folder, 'port');
    const text = await portTrouble(port, new Error('EBUSY: busy'));
    expect(text).toContain(`sudo fuser -v ${port}`);
  });

  test('anything else is said as it came', async () => {
    const text = await portTrouble('/dev/x', new Error('Inappropriate ioctl for device'));
    expect(text).toBe(
      '/dev/x cannot be opened (Inappropriate ioctl for device). Check that it is a serial port.',
    );
  });
});
