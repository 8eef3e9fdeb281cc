/**
 * Calendar days as whole numbers, so that a period in days is plain addition: day 0 is 1970-01-01 in
 * the proleptic Gregorian calendar. Formula: days from civil, with years that begin in March.
 */

const DAYS_IN_400_YEARS = 146_097;
/** From 0000-03-01 to 1970-01-01. */
const OFFSET = 719_468;

/** The number of the day `YYYY-MM-DD` (years 1900 to 2999), or null where there is no such day. */
export function dayNumber(text: string): number | null {
  const parts = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text);
  if (parts === null) return null;
  const [year, month, day] = [Number(parts[1]), Number(parts[2]), Number(parts[3])];
  if (year < 1900 || year > 2999 || month < 1 || month > 12 || day < 1) return null;
  const number = fromParts(year, month, day);
  return dayText(number) === text ? number : null;
}

/** The day of a number as `YYYY-MM-DD`. */
export function dayText(number: number): string {
  const shifted = Math.floor(number) + OFFSET;
  const era = Math.floor(shifted / DAYS_IN_400_YEARS);
  const dayOfEra = shifted - era * DAYS_IN_400_YEARS;
  const leaps = Math.floor(dayOfEra / 1460) - Math.floor(dayOfEra / 36_524);
  const yearOfEra = Math.floor((dayOfEra - leaps - Math.floor(dayOfEra / 146_096)) / 365);
  const dayOfYear = dayOfEra - daysBeforeYear(yearOfEra);
  const marchMonth = Math.floor((5 * dayOfYear + 2) / 153);
  const day = dayOfYear - Math.floor((153 * marchMonth + 2) / 5) + 1;
  const month = marchMonth < 10 ? marchMonth + 3 : marchMonth - 9;
  const year = yearOfEra + era * 400 + (month <= 2 ? 1 : 0);
  return `${padded(year, 4)}-${padded(month, 2)}-${padded(day, 2)}`;
}

function fromParts(year: number, month: number, day: number): number {
  const marchYear = month <= 2 ? year - 1 : year;
  const era = Math.floor(marchYear / 400);
  const marchMonth = month > 2 ? month - 3 : month + 9;
  const dayOfYear = Math.floor((153 * marchMonth + 2) / 5) + day - 1;
  return era * DAYS_IN_400_YEARS + daysBeforeYear(marchYear - era * 400) + dayOfYear - OFFSET;
}

function daysBeforeYear(yearOfEra: number): number {
  return 365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100);
}

function padded(value: number, width: number): string {
  return String(value).padStart(width, '0');
}
