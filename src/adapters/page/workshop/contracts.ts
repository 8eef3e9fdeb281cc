/** A trace that is not read; the message is for people. */
export class NoTrace extends Error {
  override name = 'NoTrace';
}

/** A trace of the site's folder. */
export interface TraceOnCard {
  name: string;
  bytes: number;
  /** UTC ms of the last writing. */
  writtenMs: number;
}
