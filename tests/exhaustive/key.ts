/**
 * A canonical state as one short string: its values without their names, since every state names the
 * same fields in the same order. Only which outputs were touched differs, so that is told by name.
 */
import type { Node } from './model.ts';

export function keyOf({ core, watch, weight, enteredAt }: Node): string {
  const touched = Object.keys(watch.touches).join();
  return `${valuesOf(core)}${valuesOf(watch)}${touched} ${weight} ${enteredAt ?? '_'}`;
}

function valuesOf(value: unknown): string {
  switch (typeof value) {
    case 'string':
      return value;
    case 'number':
      return `${value}`;
    case 'boolean':
      return value ? 't' : 'f';
    default:
  }
  if (value === null || value === undefined) return '_';
  let text = '{';
  for (const name in value) text += `${valuesOf((value as Record<string, unknown>)[name])},`;
  return `${text}}`;
}
