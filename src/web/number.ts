/** A number as people write it, with a comma or a point; null where it is none. */
export function numberOf(text: string): number | null {
  const trimmed = text.trim().replace(',', '.');
  const value = Number(trimmed);
  return trimmed === '' || !Number.isFinite(value) ? null : value;
}
