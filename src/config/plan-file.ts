import type { Plan } from '../core/sortplan/plan.ts';
import { changeYaml, type Change } from './edit.ts';
import type { Loaded } from './errors.ts';
import { planText } from './plan.ts';
import { planSchema } from './plan-schema.ts';

/**
 * The text of a plan that was changed: what a person wrote beside the settings (comments, order) is
 * left as it is wherever the plan kept its shape.
 */
export function changedPlanText(
  text: string,
  file: string,
  before: Plan,
  after: Plan,
): Loaded<string> {
  const changes = differences(before, after, []);
  if (changes.length === 0) return { ok: true, value: text };
  const changed = changeYaml(text, file, planSchema, changes);
  return changed.ok ? changed : { ok: true, value: planText(after) };
}

function differences(before: unknown, after: unknown, path: Change['path']): Change[] {
  if (JSON.stringify(before) === JSON.stringify(after)) return [];
  if (Array.isArray(before) && Array.isArray(after) && before.length === after.length)
    return after.flatMap((one, at) => differences(before[at], one, [...path, at]));
  if (!isMapping(before) || !isMapping(after)) return [{ path, value: after }];
  const keys = [...new Set([...Object.keys(before), ...Object.keys(after)])];
  return keys.flatMap((key) => differences(before[key], after[key], [...path, key]));
}

function isMapping(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** A file name for a plan of this title that none of `taken` has. */
export function planFileName(title: string, taken: readonly string[]): string {
  const plain = title
    .normalize('NFD')
    .replace(/[^A-Za-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .toLowerCase()
    .slice(0, 50);
  const stem = plain === '' ? 'plan' : plain;
  let name = stem;
  for (let n = 2; taken.includes(name); n += 1) name = `${stem}-${String(n)}`;
  return name;
}
