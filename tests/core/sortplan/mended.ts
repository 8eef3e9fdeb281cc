import type { Lot, Plan, Way } from '../../../src/core/sortplan/plan.ts';

/** Mends the commonest faults of a random plan, so that most of what is tried is accepted. */
export function mended(plan: Plan): Plan {
  if (plan.lots.length === 0) return plan;
  const { tags, gain, marks, ...rest } = plan;
  const lots = overflowing(plan, mendedLots(plan));
  const weighs = plan.work !== 'sort-only';
  return {
    ...rest,
    lots,
    unsure: mendedWay(plan, lots, plan.unsure),
    ...(tags === undefined ? {} : mendedTags(plan, lots, tags)),
    ...(gain === undefined || !weighs ? {} : mendedGain(lots, gain)),
    ...(marks === undefined ? {} : mendedMarks(plan, lots, marks)),
  };
}

/** A lot that the plan has, in place of one that it may not have. */
function real(lots: Lot[], name: string): string {
  return (lots.find((lot) => lot.name === name) ?? lots[0])?.name ?? name;
}

function exitOf(lots: Lot[], way: Exclude<Way, 'hold'>): string | undefined {
  return 'exit' in way ? way.exit : lots.find((lot) => lot.name === way.lot)?.exit;
}

function slaughters(lots: Lot[], exit: string | undefined): boolean {
  return lots.some((lot) => lot.exit === exit && lot.forSlaughter === true);
}

/** Cuts in order, one lot for the rest, splits among lots of one kind. */
function mendedLots(plan: Plan): Lot[] {
  const sorts = plan.work !== 'sort-only';
  let cut = plan.animals.fromKg;
  const lots = plan.lots.map((one, index): Lot => {
    const { belowKg, splitWith, aside, ...rest } = one;
    const away = index > 0 && (aside === true || !sorts);
    if (!away) {
      const least = Math.round((cut + plan.decide.hysteresisKg + 0.5) * 100) / 100;
      cut = Math.max(least, belowKg ?? 0);
    }
    const others = (splitWith ?? []).filter((name) => {
      const found = plan.lots.find((lot) => lot.name === name);
      const kind = found?.forSlaughter === true;
      return found?.splitWith === undefined && kind === (one.forSlaughter === true);
    });
    const known = others.filter((name) => plan.lots.some((lot) => lot.name === name));
    return {
      ...rest,
      ...(away ? { aside: true } : { belowKg: cut }),
      ...(known.length > 0 ? { splitWith: known } : {}),
    };
  });
  const last = lots.findLast((lot) => lot.aside !== true);
  if (last !== undefined) delete last.belowKg;
  return lots;
}

/** Ways for a full lot that lead somewhere and may be taken. */
function overflowing(plan: Plan, lots: Lot[]): Lot[] {
  return lots.map((lot) => {
    const { whenFull, ...rest } = lot;
    if (whenFull === undefined || lot.capacity === undefined) return rest;
    if (whenFull === 'stop') return lot;
    const overflow = real(lots, whenFull.overflow);
    const allowed =
      plan.allowUnsureToSlaughter === true || !slaughters(lots, exitOf(lots, { lot: overflow }));
    return { ...lot, whenFull: allowed && overflow !== lot.name ? { overflow } : 'stop' };
  });
}

function mendedWay(plan: Plan, lots: Lot[], way: Way): Way {
  if (way === 'hold') return way;
  const found = 'exit' in way ? way : { lot: real(lots, way.lot) };
  const allowed = plan.allowUnsureToSlaughter === true || !slaughters(lots, exitOf(lots, found));
  return allowed ? found : 'hold';
}

function mendedTags(plan: Plan, lots: Lot[], tags: NonNullable<Plan['tags']>): Pick<Plan, 'tags'> {
  const lists = tags.lists.map((list) => ({ ...list, lot: real(lots, list.lot) }));
  const unread = mendedWay(plan, lots, tags.unread);
  const given = tags.withdrawal;
  const way = 'exit' in given ? given : { lot: real(lots, given.lot) };
  if (!slaughters(lots, exitOf(lots, way))) return { tags: { lists, unread, withdrawal: way } };
  const free = lots.find((lot) => !slaughters(lots, lot.exit));
  return free === undefined ? {} : { tags: { lists, unread, withdrawal: { lot: free.name } } };
}

function mendedGain(lots: Lot[], gain: NonNullable<Plan['gain']>): Pick<Plan, 'gain'> {
  const rules = gain.rules
    .filter(({ fromGramsPerDay: from, belowGramsPerDay: below }) => {
      return (from !== undefined || below !== undefined) && (from ?? -9999) < (below ?? 9999);
    })
    .map((rule) => ({ ...rule, lot: real(lots, rule.lot) }));
  return rules.length === 0 ? {} : { gain: { ...gain, rules } };
}

function mendedMarks(
  plan: Plan,
  lots: Lot[],
  marks: NonNullable<Plan['marks']>,
): Pick<Plan, 'marks'> {
  const rules = marks.rules
    .filter(({ fromKg, belowKg }) => {
      if (plan.work === 'sort-only') return fromKg === undefined && belowKg === undefined;
      const width = (belowKg ?? plan.animals.toKg) - (fromKg ?? plan.animals.fromKg);
      return width > plan.decide.hysteresisKg;
    })
    .map((rule) => ({ ...rule, lot: real(lots, rule.lot) }));
  return { marks: { ...marks, rules } };
}
