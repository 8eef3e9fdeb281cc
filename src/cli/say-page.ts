import { networkInterfaces } from 'node:os';
import { renderUnicodeCompact } from 'uqr';
import type { Page } from '../adapters/page/port.ts';
import { say } from './answer.ts';

/** Tells where the page is, with a QR code for the phone, and PINs that were made just now. */
export function sayPage(page: Page | null): void {
  if (page === null) return;
  const address = `http://${localAddress()}:${page.port}/`;
  say(`Page: ${address}`);
  say(renderUnicodeCompact(address));
  if (page.freshPins === null) return;
  if (process.env['JOURNAL_STREAM'] !== undefined) {
    // Set by systemd where these words end up in its journal: no secret belongs there.
    say('PINs were made and are not written to a log: `fank pin` makes ones that you can read.');
    return;
  }
  say(`PIN to operate: ${page.freshPins.operator}   PIN to fit: ${page.freshPins.installer}`);
  say('They are shown this once. `fank pin` makes new ones.');
}

/** The first address that a phone on the same network can reach; this machine's own otherwise. */
function localAddress(): string {
  const all = Object.values(networkInterfaces()).flatMap((list) => list ?? []);
  return all.find((one) => one.family === 'IPv4' && !one.internal)?.address ?? '127.0.0.1';
}
