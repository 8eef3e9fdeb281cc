/** How the weigh head and the tag reader are heard, for the page and the figures. */
import type { LinkFigures } from './messages.ts';

/** What an adapter tells of its link. Times are the daemon's monotonic ms. */
export interface LinkHealth {
  up: boolean;
  reason: string;
  /** Arrival of the last whole frame. */
  heardAt: number | null;
  lostAt: number | null;
  opened: number;
  frames: number;
  noise: number;
}

export type LinkSources = Partial<Record<LinkFigures['link'], () => LinkHealth>>;

/** Frames are counted over this long for their rate, ms. */
const RATE_MS = 5000;
/** Figures are worth sending this often, ms. */
const EVERY_MS = 1000;

/** Makes the figures of all links; one a daemon. */
export interface LinkMeter {
  /** The figures at `t`, or null where the last were given less than a second ago. */
  read(t: number): LinkFigures[] | null;
}

export function createLinkMeter(sources: LinkSources): LinkMeter {
  /** Counts of the last seconds, oldest first. */
  let counts: { t: number; frames: Record<string, number> }[] = [];
  return {
    read(t) {
      const last = counts.at(-1);
      if (last !== undefined && t - last.t < EVERY_MS) return null;
      const healths = Object.entries(sources).map(
        ([link, health]) => [link as LinkFigures['link'], health()] as const,
      );
      const frames = Object.fromEntries(healths.map(([link, health]) => [link, health.frames]));
      counts = [...counts.filter((one) => t - one.t <= RATE_MS), { t, frames }];
      const since = counts[0];
      return healths.map(([link, health]) => {
        const seconds = since === undefined ? 0 : (t - since.t) / 1000;
        const fresh = health.frames - (since?.frames[link] ?? 0);
        return figuresOf(link, health, t, seconds === 0 ? 0 : fresh / seconds);
      });
    },
  };
}

function figuresOf(
  link: LinkFigures['link'],
  health: LinkHealth,
  t: number,
  rate: number,
): LinkFigures {
  const { up, reason, heardAt, lostAt, opened, noise } = health;
  return {
    link,
    up,
    reason,
    perSecond: Math.round(rate * 10) / 10,
    noise,
    heardAgeMs: heardAt === null ? null : Math.max(0, t - heardAt),
    reopened: Math.max(0, opened - 1),
    lostAgoMs: lostAt === null ? null : Math.max(0, t - lostAt),
  };
}

/** The same figures some ms later: ages have grown. */
export function aged(links: LinkFigures[], ms: number): LinkFigures[] {
  const older = (age: number | null): number | null => (age === null ? null : Math.round(age + ms));
  return links.map((one) => ({
    ...one,
    heardAgeMs: older(one.heardAgeMs),
    lostAgoMs: older(one.lostAgoMs),
  }));
}
