import type { Evening, GainLine, Line } from '../evening.ts';

/** Head in = head out, as lines for a terminal. */
export function headWords({ head }: Evening): string[] {
  const pens = head.pens.map(({ pen, head: n }) => `${pen ?? 'not known where'} ${n}`);
  const left = head.notCounted.map(({ why, head: n }) => `${n} (${why})`);
  return [
    `head per pen: ${pens.join(', ')}; head in all: ${head.counted}`,
    ...(left.length === 0
      ? []
      : [`through the crate ${head.through}, not counted ${left.join(', ')}`]),
    ...(head.twice === 0 ? [] : [twiceWords(head.twice)]),
  ];
}

/** Of tags that count in more than one session of a day. */
export function twiceWords(tags: number): string {
  return `${tags} ${tags === 1 ? 'tag was' : 'tags were'} seen in two sessions, counted in each`;
}

/** What was given, a line for each product and batch. */
export function givenWords({ given }: Evening): string[] {
  return given.map(({ product, batch, head, ml, unknown }) => {
    const open = unknown === 0 ? '' : `; ${unknown} head not known`;
    return `given ${product}, batch ${batch}: ${head} head, ${ml} ml${open}`;
  });
}

/** Who wants looking at, gain, who reaches the target when, and how the day went. */
export function eveningWords(evening: Evening): string[] {
  return [
    'to look at',
    ...lookWords(evening).map((line) => `  ${line}`),
    '',
    ...gainWords(evening),
    ...targetWords(evening),
    ...paceWords(evening),
  ];
}

function lookWords({ look }: Evening): string[] {
  const { missing } = look;
  const of = (what: string, lines: Line[]): string[] =>
    lines.length === 0 ? [] : [`${what} ${lines.length}: ${lines.map(who).join(', ')}`];
  const found = [
    ...missing.map(
      ({ lastDay, tags }) => `seen on ${lastDay} but not today ${tags.length}: ${tags.join(', ')}`,
    ),
    ...of('lost weight', look.lostWeight),
    ...of('slowest tenth', look.slowest),
    ...of('within 1 kg below a cut', look.nearlyThere),
    ...look.held.map(
      (line) =>
        `held ${who(line)}: ${line.freeOn === null ? 'free day not known' : `free on ${line.freeOn}`}`,
    ),
    ...of('by hand', look.byHand),
    ...of('let out early', look.letOutEarly),
    ...of('opened early', look.openedEarly),
    ...of('went the wrong way', look.wrongWay),
    ...of('not sure', look.notSure),
  ];
  return found.length === 0 ? ['nothing'] : found;
}

function who(line: Line | GainLine): string {
  const name = line.tag ?? `animal ${line.animal}`;
  return 'gramsADay' in line ? `${name} (${perDay(line.gramsADay, line.uncertainty)})` : name;
}

function gainWords({ flock, gains }: Evening): string[] {
  if (flock === null) return ['gain: nothing to compare with'];
  const spread = flock.sd === null ? '' : `, SD ${Math.round(flock.sd)} between animals`;
  const why = flock.widened.length === 0 ? '' : `; less sure: ${flock.widened.join('; ')}`;
  return [
    `gain of ${gains.length} animals: ${perDay(flock.gramsADay, flock.uncertainty)}${spread}${why}`,
  ];
}

function targetWords({ target }: Evening): string[] {
  if (target === null) return [];
  return [
    `${target.kg} kg: ${target.there} there, ${target.coming.length} coming, ${target.unknown} of unknown gain`,
    ...target.coming.map(
      ({ tag, kg, day, earliest, latest }) =>
        `  ${tag} ${kg.toFixed(1)} kg: ${day ?? 'not at this gain'} (${earliest ?? 'never'} to ${latest ?? 'open'})`,
    ),
  ];
}

function paceWords({ pace }: Evening): string[] {
  const rate =
    pace.anHour === null
      ? 'too short a time for a rate'
      : `${Math.round(pace.anHour)} animals an hour`;
  return [
    `${rate}; sorting ${Math.round(pace.sortingMinutes)} of ${Math.round(pace.minutes)} min`,
    ...pace.stops.map(
      ({ time, minutes, mode, why }) => `  ${time} ${mode} for ${minutes.toFixed(1)} min: ${why}`,
    ),
    ...pace.faults.map(
      ({ fault, times, first }) => `  fault ${fault}, ${times} times, first ${first}`,
    ),
  ];
}

function perDay(grams: number, uncertainty: number): string {
  return `${Math.round(grams)} +- ${Math.round(uncertainty)} g a day`;
}
