import type { FastifyReply } from 'fastify';
import { formatError, type ConfigError } from '../../../config/errors.ts';
import type { SiteChange } from '../../../config/site-change.ts';
import type { Shared } from '../app.ts';
import { refuse } from '../guard.ts';

/** What is wrong with a file of the site, as a refusal in words. */
export function refuseErrors(reply: FastifyReply, errors: readonly ConfigError[]): FastifyReply {
  const reason = errors.slice(0, 5).map(formatError).join('\n');
  return refuse(reply, 409, { error: 'refused', reason });
}

const NO_ANSWER = 'Fank did not answer: look whether it was saved before trying again';

/** Hands a change to the daemon; `done` is the answer where it was taken. */
export async function hand(
  reply: FastifyReply,
  shared: Pick<Shared, 'change'>,
  change: SiteChange,
  done: object,
): Promise<FastifyReply> {
  const answer = await shared.change(change);
  if (answer === null) return refuse(reply, 504, { error: 'no-answer', reason: NO_ANSWER });
  if (answer.ok) return reply.send(done);
  return refuse(reply, 409, { error: 'refused', reason: answer.reason ?? 'Refused' });
}

let lastTurn: Promise<unknown> = Promise.resolve();

/**
 * One change of the site's files after the other, also from two phones: what was read for it is still so when it is
 * written, and nothing that another has just saved is written over.
 */
export function inTurn<T>(work: () => Promise<T>): Promise<T> {
  const turn = lastTurn.then(work, work);
  lastTurn = turn;
  return turn;
}

/** Exits of the gate, as the daemon has told them. */
export function exitsOf({ race }: Pick<Shared, 'race'>): string[] | null {
  return race.layout === null ? null : race.layout.exits.map(({ exit }) => exit);
}
