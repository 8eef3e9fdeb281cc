import type { Exit, Rule } from '../trace.ts';
import { ofThisMob, usableWeight, weightLot } from './bands.ts';
import { headIn, placesLeft, withCapacity } from './capacity.ts';
import { byGain } from './gain.ts';
import { byMarks } from './marks.ts';
import type { AnimalFacts, Counts, Decision, Lot, Plan, Way } from './plan.ts';
import { heldBy, heldWords, leadsToSlaughter, lotsAt, refusal } from './held.ts';
import type { Held } from './held.ts';
import { bandWords, basisWords, kgWords, weightLots } from './words.ts';

export { cutsKg } from './bands.ts';
export { refusal } from './held.ts';

/**
 * Where this animal goes by the plan, given what is known of it at this moment. Pure and total: every
 * input gives an answer, a hold (`exit` null), or null: not decided yet, ask again.
 *
 * Order of rules: withdrawal, the operator's word (an exit, then marks), tag lists and the tag not
 * read, daily gain, weight with the even split; then capacity.
 */
export function decide(plan: Plan, animal: AnimalFacts, counts: Counts): Decision | null {
  if (plan.work === 'weigh-only' || plan.work === 'count-only') return unsorted(plan, animal);
  const held = heldBy(plan, animal);
  const waits = waitsForTag(plan, animal);
  if (held !== null && waits) return null;
  const hand = byHand(plan, animal, counts);
  const wanted = hand ?? byRules(plan, animal, counts, held);
  // No order of tap and tag passes a held animal: slaughter waits for the tag, by hand too.
  if (wanted === null || (waits && wanted.exit !== null && leadsToSlaughter(plan, wanted.exit)))
    return null;
  if (hand !== null) return hand;
  const guarded = guard(plan, animal, held, wanted);
  const allowed = (lot: Lot) => mayTake(plan, held, true, lot.exit);
  const decision = withCapacity(plan, guarded, counts, allowed);
  return animal.byHand === null
    ? decision
    : { ...decision, flags: [...decision.flags, 'by-hand-refused'] };
}

/** Whether the animal is still waited for to give its tag: never without `tags` in the plan. */
export function waitsForTag(plan: Plan, animal: AnimalFacts): boolean {
  return tagMissing(plan, animal) && animal.afterMs < plan.decide.callAfterMs;
}

function tagMissing(plan: Plan, animal: AnimalFacts): boolean {
  return plan.tags !== undefined && animal.tagsOff !== true && animal.tag === null;
}

/** The kinds of work in which no leaf moves. */
function unsorted(plan: Plan, animal: AnimalFacts): Decision | null {
  const stay = { lot: null, exit: null, stay: true } as const;
  if (plan.work === 'count-only')
    return { ...stay, rule: 'by-hand', reason: 'count only', flags: [] };
  const weight = usableWeight(animal);
  if (weight === null && animal.unsure === null) return null;
  if (weight === null || animal.basis === null) {
    const reason = `not sure: ${animal.unsure ?? 'no weight'}`;
    if (plan.unsure === 'hold') return byWay(plan, 'hold', 'unsure', reason);
    return { ...stay, rule: 'unsure', reason, flags: [] };
  }
  const mob = ofThisMob(plan, weight, null);
  const words = mob ? 'weighed only' : notOfThisMob(plan);
  return {
    ...stay,
    rule: animal.basis,
    reason: `${kgWords(weight / 100)} kg: ${words}; ${basisWords(animal)}`,
    flags: mob ? [] : ['not-of-this-mob'],
  };
}

/** The operator's exit, unless it is refused. */
function byHand(plan: Plan, animal: AnimalFacts, counts: Counts): Decision | null {
  const exit = animal.byHand;
  if (exit === null || refusal(plan, animal, exit) !== null) return null;
  const lot = lotByHand(plan, animal, exit);
  const full = lot !== null && placesLeft(lot, counts) === 0;
  return {
    lot: lot?.name ?? null,
    exit,
    rule: 'by-hand',
    reason: `${animal.kg === null ? '' : `${kgWords(animal.kg)} kg: `}${lot?.name ?? exit}, by hand`,
    flags: full ? ['over-capacity'] : [],
    ...spray(lot),
  };
}

/** Of several lots at one exit, the one that the weight names, else the first. */
function lotByHand(plan: Plan, animal: AnimalFacts, exit: Exit): Lot | null {
  const weight = usableWeight(animal);
  if (weight !== null) {
    const { index } = weightLot(plan, weight, animal.previousLot);
    const lot = weightLots(plan)[index];
    if (lot?.exit === exit) return lot;
  }
  return lotsAt(plan, exit)[0] ?? null;
}

function byRules(
  plan: Plan,
  animal: AnimalFacts,
  counts: Counts,
  held: Held | null,
): Decision | null {
  if (held !== null && plan.tags !== undefined)
    return byWay(plan, plan.tags.withdrawal, 'withdrawal', heldWords(held));
  const marks = byMarks(plan, animal);
  if (marks === 'wait') return null;
  if (marks !== null) {
    const rule = marks.weighed && animal.basis !== null ? animal.basis : 'by-hand';
    const names = marks.rule.when.map((condition) => condition.mark).join(' and ');
    return {
      ...toLot(plan, marks.rule.lot, rule, `${weighed(animal)}by mark: ${names}`),
      flags: ['by-mark'],
    };
  }
  if (waitsForTag(plan, animal)) return null;
  return byTag(plan, animal) ?? byWeight(plan, animal, counts);
}

/** Tag lists, and the way of a tag that was not read in time. */
function byTag(plan: Plan, animal: AnimalFacts): Decision | null {
  if (plan.tags === undefined) return null;
  if (tagMissing(plan, animal)) {
    return { ...byWay(plan, plan.tags.unread, 'tag', 'tag not read'), flags: ['unread'] };
  }
  const name = animal.known?.list ?? null;
  const list = plan.tags.lists.find((one) => one.file === name || one.file === `${name ?? ''}.csv`);
  return list === undefined ? null : toLot(plan, list.lot, 'tag', `on the list ${list.file}`);
}

/** Daily gain, then weight with the even split. */
function byWeight(plan: Plan, animal: AnimalFacts, counts: Counts): Decision | null {
  if (plan.work === 'sort-only') return withoutWeight(plan, animal, counts);
  const weight = usableWeight(animal);
  if (weight === null)
    return animal.unsure === null
      ? null
      : byWay(plan, plan.unsure, 'unsure', `not sure: ${animal.unsure}`);
  if (!ofThisMob(plan, weight, animal.previousLot)) {
    const reason = `${weighed(animal)}${notOfThisMob(plan)}`;
    return { ...byWay(plan, plan.unsure, 'unsure', reason), flags: ['not-of-this-mob'] };
  }
  const gain = byGain(plan, animal, weight / 100);
  if (gain !== null && gain.lot !== null)
    return toLot(plan, gain.lot, 'gain', `${weighed(animal)}${gain.words}`);
  const found = weightLot(plan, weight, animal.previousLot);
  const lot = weightLots(plan)[found.index];
  if (lot === undefined || animal.basis === null)
    return byWay(plan, 'hold', 'unsure', 'the plan has no lot for a weight');
  const kept = found.kept ? `, kept within ${kgWords(plan.decide.hysteresisKg)} kg of the cut` : '';
  const also = gain === null ? '' : `; ${gain.words}`;
  const reason = `${weighed(animal)}${lot.name}, ${bandWords(plan, found.index)}${kept}; ${basisWords(animal)}${also}`;
  return split(plan, animal, counts, lot, animal.basis, reason);
}

/** Sorting without a weight: the even split, or the lot of those that no list names. */
function withoutWeight(plan: Plan, animal: AnimalFacts, counts: Counts): Decision | null {
  const rest = weightLots(plan)[0];
  const listed = plan.tags !== undefined && animal.tag !== null;
  if (rest !== undefined && (rest.splitWith !== undefined || listed))
    return split(plan, animal, counts, rest, 'tag', `${rest.name}, on no list`);
  if (animal.unsure === null && animal.afterMs < plan.decide.callAfterMs) return null;
  return byWay(plan, plan.unsure, 'unsure', 'nobody named an exit');
}

/** Shares a lot's animals evenly: to the one with the fewest head, the first of equals. */
function split(
  plan: Plan,
  animal: AnimalFacts,
  counts: Counts,
  lot: Lot,
  rule: Rule,
  reason: string,
): Decision {
  if (lot.splitWith === undefined) return { ...toLot(plan, lot.name, rule, ''), reason };
  const names = [lot.name, ...lot.splitWith];
  const before = animal.previousLot;
  let least = before !== null && names.includes(before) ? before : lot.name;
  if (least !== before)
    for (const name of names) if (headIn(counts, name) < headIn(counts, least)) least = name;
  return toLot(plan, least, 'split', `${reason}; shared evenly`);
}

/** Holds what must not go: a held animal from slaughter, a not-sure one unless the plan allows it. */
function guard(plan: Plan, animal: AnimalFacts, held: Held | null, decision: Decision): Decision {
  const unsure =
    decision.rule === 'unsure' ||
    decision.flags.includes('unread') ||
    (animal.unsure !== null && usableWeight(animal) === null);
  if (decision.exit === null || mayTake(plan, held, unsure, decision.exit)) return decision;
  const why = held === null ? 'not sure' : heldWords(held);
  return {
    lot: null,
    exit: null,
    rule: held === null ? 'unsure' : 'withdrawal',
    reason: `${why}, not to slaughter (${decision.reason}): hold`,
    flags: decision.flags,
  };
}

/** Whether an exit may take a held animal, and one that a way for doubt sends there. */
function mayTake(plan: Plan, held: Held | null, doubt: boolean, exit: Exit): boolean {
  if (!leadsToSlaughter(plan, exit)) return true;
  return held === null && (!doubt || plan.allowUnsureToSlaughter === true);
}

function byWay(plan: Plan, way: Way, rule: Rule, reason: string): Decision {
  if (way === 'hold') return { lot: null, exit: null, rule, reason: `${reason}: hold`, flags: [] };
  if ('exit' in way)
    return { lot: null, exit: way.exit, rule, reason: `${reason}: ${way.exit}`, flags: [] };
  return toLot(plan, way.lot, rule, reason);
}

function toLot(plan: Plan, name: string, rule: Rule, reason: string): Decision {
  const lot = plan.lots.find((one) => one.name === name);
  if (lot === undefined)
    return { lot: null, exit: null, rule, reason: `${reason}: no lot ${name}, hold`, flags: [] };
  return {
    lot: name,
    exit: lot.exit,
    rule,
    reason: `${reason}: ${name}`,
    flags: [],
    ...spray(lot),
  };
}

function spray(lot: Lot | null): { mark?: string } {
  return lot?.mark === undefined ? {} : { mark: lot.mark };
}

function weighed(animal: AnimalFacts): string {
  return usableWeight(animal) === null || animal.kg === null ? '' : `${kgWords(animal.kg)} kg: `;
}

function notOfThisMob(plan: Plan): string {
  return `not of this mob, ${kgWords(plan.animals.fromKg)} to ${kgWords(plan.animals.toKg)}`;
}
