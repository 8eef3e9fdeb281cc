import { expect, test } from 'vitest';
import { checkParts, partsWarnings, resolveConfig, type Parts } from '../../src/config/resolve.ts';
import { newPlan } from '../../src/config/plan.ts';
import { loadProfile } from '../../src/config/profiles.ts';
import { siteSchema } from '../../src/config/site.ts';

function parts(markButtons: object, inputs: string[], reader?: string): Parts {
  const load = <K extends 'gate' | 'crate' | 'board'>(kind: K, name: string) => {
    const loaded = loadProfile(kind, name, null);
    if (loaded?.ok !== true) throw new Error(name);
    return loaded.value;
  };
  const profiles = { scale: 'plain-continuous', board: 'simulated', gate: 'three-way' };
  const site = siteSchema.parse({
    ...{ site: 1, zone: 'UTC', plan: 'by-weight', markButtons },
    profiles: { ...profiles, crate: 'hand-gates', ...(reader === undefined ? {} : { reader }) },
  });
  const board = load('board', 'simulated');
  return {
    site,
    board: { ...board, inputs: [...inputs, 'frontShut'] } as Parts['board'],
    gate: load('gate', 'three-way'),
    crate: load('crate', 'hand-gates'),
    plan: newPlan(['left', 'ahead', 'right']),
  };
}

test('a wired button gives the mark that the site names for it', () => {
  const given = parts({ a: { mark: 'lame' }, b: { mark: 'condition', value: 3.5 } }, [
    'markButton.a',
    'markButton.b',
  ]);
  expect(checkParts(given)).toEqual([]);
  const config = resolveConfig(given);
  expect(config.inputs).toEqual(expect.arrayContaining(['markButton.a', 'markButton.b']));
  expect(config.markButtons).toEqual({
    a: { name: 'lame', value: true },
    b: { name: 'condition', value: 3.5 },
  });
});

test('an input whose button has no mark, and a mark that there is not, are refused', () => {
  const unnamed = checkParts(parts({}, ['markButton.a']));
  expect(unnamed.map(({ message }) => message)).toEqual([
    'board simulated has an input "markButton.a" that nothing here is called',
  ]);
  const wrong = checkParts(parts({ a: { mark: 'condition', value: 6 } }, ['markButton.a']));
  expect(wrong).toMatchObject([
    {
      path: ['markButtons', 'a'],
      message: expect.stringContaining('condition is one of') as string,
    },
  ]);
});

test('a plan that sorts by tags on a site with no reader is warned of; nothing waits for a tag', () => {
  const tags = { lists: [], withdrawal: { lot: 'Stores' }, unread: 'hold' as const };
  const given = parts({}, []);
  const tagged = { ...given, plan: { ...given.plan, tags } };
  expect(resolveConfig(tagged).noReader).toBe(true);
  const said = partsWarnings(tagged).map(({ message }) => message);
  expect(said).toContain(
    'the plan sorts by tags, and the site has no reader: its tag rules are off',
  );
  const fitted = parts({}, [], 'fdx-b');
  expect(resolveConfig(fitted).noReader).toBeUndefined();
  expect(
    partsWarnings({ ...fitted, plan: tagged.plan }).map(({ path }) => path),
  ).not.toContainEqual(['plan']);
});
