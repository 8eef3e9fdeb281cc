/** What the check with a known mass says; fetched with it. */
export interface CheckWords {
  title: string;
  /** How it is done. */
  how: string;
  mass: string;
  middle: string;
  corner: (number: number) => string;
  /** Takes what the weigh head shows now. */
  take: string;
  keep: string;
  kept: string;
  missing: string;
  before: string;
  none: string;
}

export const checkWords: CheckWords = {
  title: 'Check weight',
  how:
    'With the crate empty and at zero, put a known mass in the middle and take the reading; then, ' +
    'if you can, at each corner. Lift with two, or with a trolley; keep hands clear of the gates.',
  mass: 'Mass as marked on it, kg',
  middle: 'Reading in the middle, kg',
  corner: (number) => `Reading at corner ${String(number)}, kg`,
  take: 'Take',
  keep: 'Keep this check',
  kept: 'Kept in the day book.',
  missing: 'The mass and the reading in the middle are needed, as numbers.',
  before: 'Checks so far',
  none: 'None yet',
};
