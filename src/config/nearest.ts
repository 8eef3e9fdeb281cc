/**
 * The known name that `name` was probably meant to be, or null where none is near enough: at most
 * one edit in three letters, two swapped neighbours counting as one edit; case does not count.
 */
export function nearest(name: string, known: readonly string[]): string | null {
  const wanted = name.slice(0, 80).toLowerCase();
  let best: string | null = null;
  let bestDistance = Infinity;
  for (const candidate of known) {
    const distance = editDistance(wanted, candidate.toLowerCase());
    if (distance < bestDistance) [best, bestDistance] = [candidate, distance];
  }
  const allowed = Math.max(1, Math.floor(Math.max(wanted.length, best?.length ?? 0) / 3));
  return bestDistance <= allowed ? best : null;
}

/** `Write "x".` where one is near, else the list of what may stand here. */
export function suggestion(name: string, known: readonly string[]): string {
  const near = nearest(name, known);
  if (near !== null) return `Did you mean "${near}"?`;
  if (known.length === 0) return 'Remove it.';
  return `Known here: ${known.join(', ')}.`;
}

/** Optimal string alignment: insertions, deletions, substitutions and swaps of neighbours. */
function editDistance(a: string, b: string): number {
  const rows: number[][] = [Array.from({ length: b.length + 1 }, (_, j) => j)];
  const at = (i: number, j: number): number => rows[i]?.[j] ?? Infinity;
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    rows.push(row);
    for (let j = 1; j <= b.length; j++) {
      const swapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      row.push(
        Math.min(
          at(i - 1, j) + 1,
          at(i, j - 1) + 1,
          at(i - 1, j - 1) + (a[i - 1] === b[j - 1] ? 0 : 1),
          swapped ? at(i - 2, j - 2) + 1 : Infinity,
        ),
      );
    }
  }
  return at(a.length, b.length);
}
