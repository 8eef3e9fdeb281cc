/**
 * The line that the simulated weigh head writes: the plain continuous shape that
 * `hardware-profiles/scales/plain-continuous.yaml` reads.
 *
 * @param kg weight to 0.1 kg, or null where the head has none to give
 * @param motion the head's motion mark
 * @param status `over`, `under` or `error`: the head sends no weight
 * @returns 18 characters: `ST,GS,+   41.5kg`, CR, LF
 */
export function frame(
  kg: number | null,
  motion: boolean,
  status?: 'over' | 'under' | 'error',
): string {
  const tenths = kg === null ? 0 : Math.round(kg * 10);
  const far = Math.abs(tenths) >= 10_000_000;
  if (status === 'over' || (far && tenths > 0)) return 'OL,GS,+-------kg\r\n';
  if (status === 'under' || (far && tenths < 0)) return 'OL,GS,--------kg\r\n';
  if (status === 'error' || kg === null || Number.isNaN(tenths)) return 'ER,GS,+-------kg\r\n';
  const size = Math.abs(tenths);
  const digits = `${Math.floor(size / 10)}.${size % 10}`.padStart(7, ' ');
  return `${motion ? 'US' : 'ST'},GS,${tenths < 0 ? '-' : '+'}${digits}kg\r\n`;
}
