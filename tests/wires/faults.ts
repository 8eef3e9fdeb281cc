/** What each way of failing makes of a contact's level, the battery's reading and a serial line. */
export const WIRE_FAULTS = ['broken', '0 V', 'supply', 'leaking', 'chattering', 'frozen'] as const;
export type WireFault = (typeof WIRE_FAULTS)[number];

/** Half of all ticks, without any pattern that a filter could follow. */
function noise(t: number): boolean {
  const n = Math.imul((t / 20) | 0, 0x9e3779b1);
  return ((n ^ (n >>> 15)) & 8) !== 0;
}

/** A contact switches the supply on to its wire: no current reads as off. */
export function readAs(
  fault: WireFault | null,
  truth: boolean,
  frozen: boolean,
  t: number,
): boolean {
  switch (fault) {
    case null:
      return truth;
    case 'broken':
    case '0 V':
      return false;
    case 'supply':
      return true;
    case 'leaking':
      return noise(t);
    case 'chattering':
      return truth !== (Math.floor(t / 100) % 2 === 0);
    case 'frozen':
      return frozen;
  }
}

/** Whether a serial line brings what is sent at this time. */
export function sends(fault: WireFault | null, t: number): boolean {
  if (fault === 'broken' || fault === '0 V' || fault === 'supply') return false;
  if (fault === 'leaking') return noise(t);
  return fault !== 'chattering' || Math.floor(t / 1000) % 2 === 0;
}

/** The battery's voltage as it is read, or null where nothing is. */
export function volts(fault: WireFault | null, t: number): number | null {
  if (fault === 'broken') return null;
  if (fault === '0 V') return 0;
  if (fault === 'supply') return 14.4;
  if (fault === 'leaking') return noise(t) ? 12.6 : 6;
  if (fault === 'chattering') return Math.floor(t / 1000) % 2 === 0 ? 12.6 : 0;
  return 12.6;
}
