/** One line of `fank check`. */
export interface Check {
  check: string;
  /** null: cannot be seen on this machine, or not now. */
  ok: boolean | null;
  said: string;
  /** What to do; empty where nothing is to be done. */
  remedy: string;
}

export const good = (check: string, said: string): Check => ({ check, ok: true, said, remedy: '' });
export const bad = (check: string, said: string, remedy: string): Check => ({
  check,
  ok: false,
  said,
  remedy,
});
export const unseen = (check: string, said: string): Check => ({
  check,
  ok: null,
  said,
  remedy: '',
});
