/** Changes single settings of a configuration by path, e.g. `plan.decide.hysteresisKg=0.5`. */

/**
 * Gives a changed copy.
 * @throws Error with the path and what stands there when a path leads nowhere or the kind differs.
 */
export function vary<T>(config: T, changes: readonly string[]): T {
  const copy = structuredClone(config);
  for (const change of changes) {
    const cut = change.indexOf('=');
    if (cut < 1) throw new Error(`--vary ${change}: write path=value, e.g. plan.lots.0.belowKg=38`);
    set(copy, change.slice(0, cut), change.slice(cut + 1));
  }
  return copy;
}

function set(root: unknown, path: string, text: string): void {
  const keys = path.split('.');
  const last = keys.pop() ?? '';
  let place = root;
  for (const key of keys) place = inside(place, key, path);
  const before = inside(place, last, path);
  const value = parse(text);
  if (before !== null && typeof before !== typeof value) {
    throw new Error(
      `--vary ${path}: ${text} is not a ${typeof before}; it is ${JSON.stringify(before)} now`,
    );
  }
  (place as Record<string, unknown>)[last] = value;
}

function inside(place: unknown, key: string, path: string): unknown {
  if (typeof place === 'object' && place !== null && Object.hasOwn(place, key)) {
    return (place as Record<string, unknown>)[key];
  }
  const known = typeof place === 'object' && place !== null ? Object.keys(place).join(', ') : '';
  throw new Error(
    `--vary ${path}: there is no "${key}". There is: ${known || 'nothing below it'}.`,
  );
}

function parse(text: string): unknown {
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return text;
  }
}
