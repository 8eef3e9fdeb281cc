/** A link to a device that is opened again for ever, whatever it goes over. */

/** What a link goes over: one attempt at opening it, and what comes after. */
export interface Channel {
  /** Rejects, with words for people, where it cannot be opened; once. */
  open: () => Promise<void>;
  /** Sends, or drops the bytes where the output is blocked. */
  write: (bytes: string) => void;
  /** Resolves when all that it held is given back; also while it is being opened. */
  close: () => Promise<void>;
}

export interface ChannelEvents {
  bytes: (bytes: Uint8Array) => void;
  /** It is open no more, with the reason in words. */
  gone: (reason: string) => void;
}

export interface LineOptions {
  /** What people know it by: a path, or a device's name. */
  name: string;
  channel: (events: ChannelEvents) => Channel;
  /** Bytes sent once when the link has been opened. */
  begin: string | undefined;
  /** Ask and answer, where the device does not speak by itself. */
  ask: { send: string; everyMs: number; timeoutMs: number; retries: number } | undefined;
  /** No whole frame for so long: the link is down. Null for a device that may be silent. */
  silenceMs: number | null;
  /** Monotonic whole ms. */
  now: () => number;
  /** Bytes that came at `t`; returns how many whole frames they completed. */
  onBytes: (t: number, bytes: Uint8Array) => number;
  /** The link was opened: what comes now has nothing to do with what came before. */
  onOpened: () => void;
  /** The link came up or went down, with the reason and the remedy in words. */
  onLink: (up: boolean, reason: string) => void;
  /** Something that a person should know and that does not change the link. */
  onNote: (text: string) => void;
}

export interface LineHealth {
  name: string;
  up: boolean;
  /** Why it is as it is, in words. */
  reason: string;
  /** When it last changed; null before it was first known. */
  changedAt: number | null;
  /** Arrival of the last whole frame, or null. */
  heardAt: number | null;
  /** When it was lost last; null where it never was. */
  lostAt: number | null;
  /** How many times it was opened. */
  opened: number;
  bytes: number;
}

export interface OpenLine {
  /** Closes the link for good; resolves when it is closed. */
  close: () => Promise<void>;
  health: () => LineHealth;
}

const FIRST_WAIT_MS = 25;
/** Short enough for readings to be back within 2 s of a device being given back. */
const LONGEST_WAIT_MS = 1000;

/**
 * Opens the link again for ever, with a capped back-off. Silence decides: it may be open with nobody
 * at its other end, and a hang-up is not always told. Never throws and never gives up.
 */
export function openLine(options: LineOptions): OpenLine {
  const line = new Line(options);
  line.open();
  return { close: () => line.close(), health: () => line.health() };
}

class Line {
  private readonly options: LineOptions;
  private readonly state: LineHealth;
  private channel: Channel | null = null;
  private closed = false;
  private waitMs = FIRST_WAIT_MS;
  private openedAt = 0;
  private bytesSinceOpen = 0;
  private unanswered = 0;
  private askedAt = 0;
  private retry: NodeJS.Timeout | undefined;
  private watch: NodeJS.Timeout | undefined;
  private question: NodeJS.Timeout | undefined;

  constructor(options: LineOptions) {
    this.options = options;
    this.state = {
      name: options.name,
      up: false,
      reason: 'not opened yet',
      changedAt: null,
      heardAt: null,
      lostAt: null,
      opened: 0,
      bytes: 0,
    };
  }

  health(): LineHealth {
    return { ...this.state };
  }

  open(): void {
    if (this.closed) return;
    const channel: Channel = this.options.channel({
      bytes: (bytes) => this.arrived(channel, bytes),
      gone: (reason) => this.lost(channel, reason),
    });
    this.channel = channel;
    channel.open().then(
      () => {
        if (this.channel === channel) this.opened(channel);
      },
      (error: unknown) => {
        this.lost(channel, error instanceof Error ? error.message : String(error));
      },
    );
  }

  close(): Promise<void> {
    this.closed = true;
    this.stopTimers();
    const { channel } = this;
    this.channel = null;
    return channel ? channel.close() : Promise.resolve();
  }

  private opened(channel: Channel): void {
    const { silenceMs, begin, ask, name } = this.options;
    this.openedAt = this.options.now();
    this.bytesSinceOpen = 0;
    this.state.opened += 1;
    this.unanswered = 0;
    this.options.onOpened();
    if (begin !== undefined) channel.write(begin);
    if (ask) this.askNow(channel);
    if (silenceMs !== null) this.watchSilence(channel, silenceMs);
    else this.say(true, `${name} is open`);
  }

  private arrived(channel: Channel, bytes: Uint8Array): void {
    if (this.channel !== channel) return;
    const t = this.options.now();
    this.bytesSinceOpen += bytes.length;
    this.state.bytes += bytes.length;
    if (this.options.onBytes(t, bytes) === 0) return;
    this.state.heardAt = t;
    this.waitMs = FIRST_WAIT_MS;
    this.say(true, 'whole frames arrive');
    this.answered(channel, t);
  }

  /** The one way down: from a failed opening, a hang-up, silence, or questions without answer. */
  private lost(channel: Channel, reason: string): void {
    if (this.channel !== channel || this.closed) return;
    this.channel = null;
    this.stopTimers();
    this.say(false, reason);
    void channel.close().then(() => {
      if (this.closed) return;
      this.retry = setTimeout(() => this.open(), this.waitMs);
      this.waitMs = Math.min(this.waitMs * 2, LONGEST_WAIT_MS);
    });
  }

  private say(up: boolean, reason: string): void {
    const { state } = this;
    const changed = state.up !== up || state.changedAt === null;
    const news = state.reason !== reason;
    state.reason = reason;
    if (changed) {
      if (state.up) state.lostAt = this.options.now();
      state.up = up;
      state.changedAt = this.options.now();
      this.options.onLink(up, reason);
    } else if (news && !up) this.options.onNote(reason);
  }

  private watchSilence(channel: Channel, silenceMs: number): void {
    const heardAt = (): number => Math.max(this.state.heardAt ?? 0, this.openedAt);
    const look = (): void => {
      if (this.channel !== channel) return;
      const left = heardAt() + silenceMs - this.options.now();
      if (left > 0) this.watch = setTimeout(later, left);
      else this.lost(channel, this.silent(silenceMs));
    };
    // After a late turn of the loop, bytes that came meanwhile must be read before judging.
    const later = (): void => void setImmediate(look);
    this.watch = setTimeout(later, silenceMs);
  }

  private silent(silenceMs: number): string {
    const { name } = this.options;
    if (this.bytesSinceOpen === 0)
      return `Nothing came from ${name} for ${silenceMs} ms. Check that the device is on and sends, and the cable.`;
    return `No whole frame came from ${name} for ${silenceMs} ms. If other bytes come, check speed, framing and profile.`;
  }

  private askNow(channel: Channel): void {
    const { ask, name } = this.options;
    if (!ask || this.channel !== channel) return;
    if (this.unanswered > ask.retries) {
      this.lost(channel, `${name} did not answer ${this.unanswered} questions. Check the profile.`);
      return;
    }
    this.unanswered += 1;
    this.askedAt = this.options.now();
    channel.write(ask.send);
    clearTimeout(this.question);
    const again = (): void => void setImmediate(() => this.unheard(channel));
    this.question = setTimeout(again, ask.timeoutMs);
  }

  private unheard(channel: Channel): void {
    if (this.unanswered > 0) this.askNow(channel);
  }

  private answered(channel: Channel, t: number): void {
    const { ask } = this.options;
    if (!ask || this.unanswered === 0) return;
    this.unanswered = 0;
    clearTimeout(this.question);
    const wait = Math.max(0, this.askedAt + ask.everyMs - t);
    this.question = setTimeout(() => this.askNow(channel), wait);
  }

  private stopTimers(): void {
    clearTimeout(this.retry);
    clearTimeout(this.watch);
    clearTimeout(this.question);
  }
}
