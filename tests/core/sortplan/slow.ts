import type {
  AnimalFacts,
  Counts,
  Decision,
  Lot,
  Plan,
  Way,
} from '../../../src/core/sortplan/plan.ts';

/**
 * The sort plan a second time, the slow obvious way: weights are tried hundredth by hundredth, rules
 * are asked one after the other. Shares nothing with the engine but the types.
 */
export type Answer = Omit<Decision, 'reason'> | null;

const HOLD = { lot: null, exit: null };

export function slow(plan: Plan, animal: AnimalFacts, counts: Counts): Answer {
  if (plan.work === 'count-only') return { ...HOLD, rule: 'by-hand', flags: [], stay: true };
  if (plan.work === 'weigh-only') return weighOnly(plan, animal);
  const waiting = noTag(plan, animal) && animal.afterMs < plan.decide.callAfterMs;
  const held = inWithdrawal(plan, animal);
  if (waiting && held) return null;
  const refused = animal.byHand !== null && held && killedAt(plan, animal.byHand);
  if (animal.byHand !== null && !refused) {
    if (waiting && killedAt(plan, animal.byHand)) return null;
    return hand(plan, animal, counts, animal.byHand);
  }
  const first = firstAnswer(plan, animal, counts, held);
  if (first === null) return null;
  if (waiting && first.exit !== null && killedAt(plan, first.exit)) return null;
  const answer = room(plan, counts, forbidden(plan, animal, held, first), held);
  return refused ? { ...answer, flags: [...answer.flags, 'by-hand-refused'] } : answer;
}

type Some = NonNullable<Answer>;

function weighOnly(plan: Plan, animal: AnimalFacts): Answer {
  const stay = { ...HOLD, stay: true } as const;
  const weight = usable(animal);
  if (weight === null) {
    if (animal.unsure === null) return null;
    const answer = { rule: 'unsure', flags: [] } as const;
    return plan.unsure === 'hold'
      ? { ...HOLD, ...answer, flags: [] }
      : { ...stay, ...answer, flags: [] };
  }
  const out = weight < cents(plan.animals.fromKg) || weight > cents(plan.animals.toKg);
  const rule = animal.basis === 'sure' ? 'sure' : 'settled';
  return { ...stay, rule, flags: out ? ['not-of-this-mob'] : [] };
}

function noTag(plan: Plan, animal: AnimalFacts): boolean {
  if (plan.tags === undefined || animal.tagsOff === true) return false;
  return animal.tag === null;
}

function inWithdrawal(plan: Plan, animal: AnimalFacts): boolean {
  const open = (plan.medicine?.colours ?? []).map((one) => one.colour);
  for (const mark of animal.marks)
    if (mark.name === 'colour' && open.some((colour) => colour === mark.value)) return true;
  if (animal.known === null) return plan.medicine?.untaggedHeld ?? false;
  return animal.known.held === true || animal.known.held === null;
}

function killedAt(plan: Plan, exit: string): boolean {
  for (const lot of plan.lots) if (lot.exit === exit && lot.forSlaughter) return true;
  return false;
}

function hand(plan: Plan, animal: AnimalFacts, counts: Counts, exit: string): Some {
  const there = plan.lots.filter((lot) => lot.exit === exit);
  const weight = usable(animal);
  const byWeight = weight === null ? undefined : lotOf(plan, weight, animal.previousLot);
  const lot = there.find((one) => one.name === byWeight?.name) ?? there[0];
  const full = lot !== undefined && left(lot, counts) === 0;
  return {
    lot: lot === undefined ? null : lot.name,
    exit,
    rule: 'by-hand',
    flags: full ? ['over-capacity'] : [],
    ...(lot?.mark === undefined ? {} : { mark: lot.mark }),
  };
}

/** The rules in their order, the first that answers. */
function firstAnswer(plan: Plan, animal: AnimalFacts, counts: Counts, held: boolean): Answer {
  if (held && plan.tags !== undefined) return goTo(plan, plan.tags.withdrawal, 'withdrawal');
  const weight = usable(animal);
  for (const rule of plan.marks?.rules ?? []) {
    const met = rule.when.every(({ mark, is, from, to }) => {
      const given = animal.marks.filter((one) => one.name === mark && one === last(animal, mark));
      const value = given[0]?.value ?? false;
      if (is !== undefined) return value === is;
      if (value === false) return false;
      if (from !== undefined && !(Number(value) >= from)) return false;
      return to === undefined || Number(value) <= to;
    });
    if (!met) continue;
    const needsWeight = rule.fromKg !== undefined || rule.belowKg !== undefined;
    if (needsWeight && weight === null && animal.unsure === null) return null;
    if (needsWeight && weight === null) continue;
    if (needsWeight && !ofMob(plan, weight ?? 0, animal.previousLot)) continue;
    if (needsWeight && !inRange(plan, weight ?? 0, rule, animal.previousLot)) continue;
    const rule2 = needsWeight && animal.basis !== null ? animal.basis : 'by-hand';
    return { ...goTo(plan, { lot: rule.lot }, rule2), flags: ['by-mark'] };
  }
  if (noTag(plan, animal)) {
    if (animal.afterMs < plan.decide.callAfterMs) return null;
    return { ...goTo(plan, plan.tags?.unread ?? 'hold', 'tag'), flags: ['unread'] };
  }
  for (const list of plan.tags?.lists ?? [])
    if ([list.file, list.file.replace(/\.csv$/, '')].includes(animal.known?.list ?? ''))
      return goTo(plan, { lot: list.lot }, 'tag');
  return plan.work === 'sort-only'
    ? sortOnly(plan, animal, counts)
    : weighed(plan, animal, counts, weight);
}

function last(animal: AnimalFacts, name: string): unknown {
  return [...animal.marks].reverse().find((one) => one.name === name);
}

function sortOnly(plan: Plan, animal: AnimalFacts, counts: Counts): Answer {
  const rest = plan.lots.find((lot) => !lot.aside);
  if (rest?.splitWith) return shared(plan, animal, counts, rest, 'split');
  if (rest && plan.tags && animal.tag) return goTo(plan, { lot: rest.name }, 'tag');
  const late = animal.unsure !== null || animal.afterMs >= plan.decide.callAfterMs;
  return late ? goTo(plan, plan.unsure, 'unsure') : null;
}

function weighed(plan: Plan, animal: AnimalFacts, counts: Counts, weight: number | null): Answer {
  if (weight === null) return animal.unsure === null ? null : goTo(plan, plan.unsure, 'unsure');
  if (!ofMob(plan, weight, animal.previousLot))
    return { ...goTo(plan, plan.unsure, 'unsure'), flags: ['not-of-this-mob'] };
  const grown = gainLot(plan, animal, weight / 100);
  if (grown !== null) return goTo(plan, { lot: grown }, 'gain');
  const lot = lotOf(plan, weight, animal.previousLot);
  if (lot === undefined || animal.basis === null) return { ...HOLD, rule: 'unsure', flags: [] };
  return shared(plan, animal, counts, lot, animal.basis);
}

function shared(
  plan: Plan,
  animal: AnimalFacts,
  counts: Counts,
  lot: Lot,
  rule: Some['rule'],
): Some {
  if (lot.splitWith === undefined) return goTo(plan, { lot: lot.name }, rule);
  const names = [lot.name, ...lot.splitWith];
  const kept = names.find((name) => name === animal.previousLot);
  const byHead = [...names].sort((a, b) => (counts[a] ?? 0) - (counts[b] ?? 0));
  return goTo(plan, { lot: kept ?? byHead[0] ?? lot.name }, 'split');
}

/** The rule is met even with the gain wrong by two standard uncertainties to its harm. */
function gainLot(plan: Plan, animal: AnimalFacts, kg: number): string | null {
  const days = animal.known?.lastDays ?? 0;
  const lastKg = animal.known?.lastKg ?? null;
  if (plan.gain === undefined || lastKg === null || days <= 0 || days < plan.gain.leastDays)
    return null;
  const now = animal.uKg !== null && animal.uKg > 0.5 ? animal.uKg : 0.5;
  const doubt = 2 * Math.hypot(now, 0.5);
  for (const rule of plan.gain.rules) {
    const leeway = rule.lot === animal.previousLot ? plan.decide.hysteresisKg : 0;
    const most = (1000 * (kg + doubt - leeway - lastKg)) / days;
    const least = (1000 * (kg - doubt + leeway - lastKg)) / days;
    if (rule.belowGramsPerDay !== undefined && most >= rule.belowGramsPerDay) continue;
    if (rule.fromGramsPerDay !== undefined && least < rule.fromGramsPerDay) continue;
    return rule.lot;
  }
  return null;
}

/** Never for doubt or withdrawal to slaughter. */
function forbidden(plan: Plan, animal: AnimalFacts, held: boolean, answer: Some): Some {
  if (answer.exit === null || !killedAt(plan, answer.exit)) return answer;
  if (held) return { ...HOLD, rule: 'withdrawal', flags: answer.flags };
  const doubt =
    answer.rule === 'unsure' ||
    answer.flags.some((flag) => flag === 'unread' || flag === 'not-of-this-mob') ||
    (animal.unsure !== null && usable(animal) === null);
  if (doubt && plan.allowUnsureToSlaughter !== true)
    return { ...HOLD, rule: 'unsure', flags: answer.flags };
  return answer;
}

function room(plan: Plan, counts: Counts, answer: Some, held: boolean): Some {
  const lot = plan.lots.find((one) => one.name === answer.lot);
  if (lot === undefined || answer.exit === null) return answer;
  const goes = freeLot(plan, counts, lot, []);
  const slaughter = goes !== null && goes !== lot && killedAt(plan, goes.exit);
  if (goes === null || (slaughter && (held || plan.allowUnsureToSlaughter !== true)))
    return { lot: lot.name, exit: null, rule: 'overflow', flags: [...answer.flags, 'lot-full'] };
  const places = left(goes, counts);
  const flags = places !== null && places <= 5 ? [...answer.flags, 'nearly-full'] : answer.flags;
  return goes === lot
    ? { ...answer, flags }
    : { ...goTo(plan, { lot: goes.name }, 'overflow'), flags };
}

function freeLot(plan: Plan, counts: Counts, lot: Lot, tried: Lot[]): Lot | null {
  if (left(lot, counts) !== 0) return lot;
  if (tried.includes(lot) || typeof lot.whenFull !== 'object') return null;
  const name = lot.whenFull.overflow;
  const next = plan.lots.find((one) => one.name === name);
  return next === undefined ? null : freeLot(plan, counts, next, [...tried, lot]);
}

function left(lot: Lot, counts: Counts): number | null {
  if (lot.capacity === undefined) return null;
  const over = lot.capacity - (counts[lot.name] ?? 0);
  return over < 0 ? 0 : over;
}

function goTo(plan: Plan, way: Way, rule: Some['rule']): Some {
  if (way === 'hold') return { ...HOLD, rule, flags: [] };
  if ('exit' in way) return { lot: null, exit: way.exit, rule, flags: [] };
  const lot = plan.lots.find((one) => one.name === way.lot);
  if (lot === undefined) return { ...HOLD, rule, flags: [] };
  const mark = lot.mark === undefined ? {} : { mark: lot.mark };
  return { lot: lot.name, exit: lot.exit, rule, flags: [], ...mark };
}

function cents(kg: number): number {
  return Math.round(kg * 100);
}

function usable(animal: AnimalFacts): number | null {
  return animal.basis === null || animal.kg === null ? null : cents(animal.kg);
}

/** Every weight, hundredth by hundredth, as far as the leeway goes to both sides. */
function around(plan: Plan, weight: number): number[] {
  const leeway = cents(plan.decide.hysteresisKg);
  const weights: number[] = [];
  for (let one = weight - leeway; one <= weight + leeway; one++) weights.push(one);
  return weights;
}

function ofMob(plan: Plan, weight: number, previous: string | null): boolean {
  const tried = previous === null ? [weight] : around(plan, weight);
  return tried.some((one) => one >= cents(plan.animals.fromKg) && one <= cents(plan.animals.toKg));
}

function inRange(
  plan: Plan,
  weight: number,
  rule: { fromKg?: number; belowKg?: number; lot: string },
  previous: string | null,
): boolean {
  const from = rule.fromKg === undefined ? -Infinity : cents(rule.fromKg);
  const below = rule.belowKg === undefined ? Infinity : cents(rule.belowKg);
  if (previous === null) return weight >= from && weight < below;
  if (previous === rule.lot) return around(plan, weight).some((one) => one >= from && one <= below);
  return around(plan, weight).every((one) => one > from && one < below);
}

/** The lot of a weight: the last whose lower cut is reached, or the previous one within the leeway. */
function lotOf(plan: Plan, weight: number, previous: string | null): Lot | undefined {
  let from = -Infinity;
  let found: Lot | undefined;
  for (const lot of plan.lots.filter((one) => !one.aside)) {
    const below = lot.belowKg === undefined ? Infinity : cents(lot.belowKg);
    if (lot.name === previous && around(plan, weight).some((one) => one >= from && one <= below))
      return lot;
    if (weight >= from && (weight < below || found === undefined)) found = lot;
    from = below;
  }
  return found;
}
