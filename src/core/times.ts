/** Fixed times of contacts, cycle and interlock that no profile sets, whole ms. */
export interface Times {
  /** Samples older than this count as unsafe. */
  sampleLifeMs: number;
  /** An input that changes more often than three times within this chatters; a button: eight times. */
  chatterMs: number;
  /** No tick for longer than this: the service stood still. */
  tickGapMs: number;
  /** After power-up the first samples may still be on their way. */
  firstSamplesMs: number;
  /** What the rail may take longer than the drop-out relay's own time. */
  railSlackMs: number;
  /**
   * A hold-to-run renewal is worth this long. It is at most 250 ms old when it comes, so the output
   * is off within 400 ms of the last true touch.
   */
  holdLifeMs: number;
  /** The longest press. */
  holdLongestMs: number;
  /** A front that is shut again sooner than this was only knocked: no animal passes in that time. */
  knockMs: number;
  /** A fresh press of the wired start: seen off this long, then on. */
  freshPressMs: number;
  /** A start button on for this long is stuck. */
  stuckMs: number;
  /** An animal that has its exit but waits for a person's look is called out after this. */
  lookMs: number;
}

export const TIMES: Times = {
  sampleLifeMs: 100,
  chatterMs: 1000,
  tickGapMs: 100,
  firstSamplesMs: 200,
  railSlackMs: 300,
  holdLifeMs: 150,
  holdLongestMs: 30_000,
  knockMs: 150,
  freshPressMs: 500,
  stuckMs: 10_000,
  lookMs: 2000,
};
