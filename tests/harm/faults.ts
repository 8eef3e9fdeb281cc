/** The single faults of the campaign, by name, and what each does to wires and circuit. */
import type { GateConfig } from '../../src/core/interlock/gate.ts';

/** Ways in which a contact or its wire fails; `random` changes at every tick by chance. */
const CONTACT_FAULTS = ['on', 'off', 'lying', 'random'] as const;
const STALLS_MS = [120, 300, 1000, 5000, 60_000];

/** Every single fault of a gate with these contacts. */
export function faultsOf(gate: GateConfig, contacts: readonly string[]): string[] {
  const leaves = gate.leaves.map((leaf) => leaf.name);
  const relays = leaves.flatMap((leaf) => [`${leaf}.extend`, `${leaf}.retract`]);
  return [
    ...relays.flatMap((relay) => [`welded ${relay}`, `open ${relay}`]),
    ...leaves.map((leaf) => `blown ${leaf}`),
    ...['blown rail', 'welded stop', 'welded dropOut', 'open dropOut'],
    ...['fed keepAlive', 'silent keepAlive'],
    ...contacts.flatMap((name) => CONTACT_FAULTS.map((fault) => `${fault} ${name}`)),
    ...['silent scale', 'frozen scale', 'pulse stopLoop'],
    ...STALLS_MS.map((ms) => `stall ${ms}`),
  ];
}

/** How long the program stands still under this fault, ms; 0 for any other fault. */
export function stallMs(fault: string | null): number {
  return fault?.startsWith('stall ') === true ? Number(fault.slice(6)) : 0;
}

/** The level that a contact is read with. */
export function readLevel(
  fault: string | null,
  name: string,
  truth: boolean,
  chance: () => boolean,
): boolean {
  if (fault === null || !fault.endsWith(` ${name}`)) return truth;
  if (fault === `on ${name}`) return true;
  if (fault === `off ${name}`) return false;
  if (fault === `lying ${name}`) return !truth;
  if (fault === `random ${name}`) return chance();
  return truth;
}
