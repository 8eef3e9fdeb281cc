/** Listening on the weigh head's line from the fitting: the port is borrowed, and given back after it. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { FastifyInstance, FastifyReply } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { unescaped } from '../../config/frames/unescaped.ts';
import type { Question } from '../../fitting/view.ts';
import type { LineSearch, SearchModule, SearchShown } from '../line-search.ts';
import type { Shared } from './app.ts';
import type { Refusal } from './contracts.ts';
import { refuse } from './guard.ts';

const ask = z.strictObject({
  send: z.string().min(1).max(40),
  everyMs: z.number().int().min(20).max(60_000),
});
const body = z.discriminatedUnion('do', [
  /** With `ask` that is sent, `\r` and `\xNN` as their characters; without it nothing is. */
  z.strictObject({ do: z.literal('start'), ask: ask.optional() }),
  z.strictObject({ do: z.literal('known'), kg: z.number().positive().max(10_000) }),
  z.strictObject({ do: z.literal('stop') }),
  z.strictObject({ do: z.literal('write'), name: z.string().regex(/^[a-z0-9][a-z0-9-]{0,39}$/) }),
]);
type Said = z.infer<typeof body>;

const NO_ANSWER: Refusal = { error: 'no-answer', reason: 'Fank did not answer. Try again' };
const refused = (reason: string): Refusal => ({ error: 'refused', reason });

interface Listening extends Pick<Shared, 'fitting' | 'change' | 'data'> {
  search?: LineSearch;
  timer?: NodeJS.Timeout;
}

/** How often the daemon is asked what came. */
const HEARD_EVERY_MS = 1000;

// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function listenRoutes(
  plain: FastifyInstance,
  shared: Omit<Listening, 'search' | 'timer'>,
): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  const here: Listening = { ...shared };
  const send = (reply: FastifyReply): FastifyReply =>
    reply.header('cache-control', 'no-store').send({ search: shownOf(here) });

  app.addHook('preClose', () => {
    clearInterval(here.timer);
  });

  app.get('/api/fitting/listen', { config: { access: 'installer' } }, (_request, reply) =>
    send(reply),
  );

  app.post(
    '/api/fitting/listen',
    { config: { access: 'installer' }, schema: { body } },
    async (request, reply) => {
      const trouble = await obey(here, request.body);
      if (trouble === null) return send(reply);
      return refuse(reply, trouble === NO_ANSWER ? 504 : 409, trouble);
    },
  );
}

function shownOf({ search }: Listening): SearchShown | null {
  return search?.shown() ?? null;
}

function obey(here: Listening, said: Said): Promise<Refusal | null> {
  switch (said.do) {
    case 'start':
      return start(here, said.ask ? { ...said.ask, send: unescaped(said.ask.send) } : null);
    case 'write':
      return write(here, said.name);
    case 'known':
      here.search?.known(said.kg);
      return Promise.resolve(null);
    case 'stop':
      return stop(here);
  }
}

async function start(here: Listening, question: Question | null): Promise<Refusal | null> {
  const { searchModule } = here.data;
  if (searchModule === null) return refused('This page has no weigh head.');
  const { createSearch } = (await import(searchModule)) as SearchModule;
  const lent = await here.fitting({ ask: 'lend', question });
  if (lent === null) return NO_ANSWER;
  if (lent.refused !== null) return refused(lent.refused);
  clearInterval(here.timer);
  here.search = createSearch(question);
  here.timer = setInterval(() => void hear(here), HEARD_EVERY_MS);
  return null;
}

async function hear(here: Listening): Promise<void> {
  const { search } = here;
  const line = (await here.fitting({ ask: 'heard', from: search?.taken() ?? 0 }))?.line;
  if (line === undefined || search === undefined || search !== here.search) return;
  search.hear(line);
  if (!line.on) clearInterval(here.timer);
}

async function stop(here: Listening): Promise<Refusal | null> {
  const answer = await here.fitting({ ask: 'back' });
  clearInterval(here.timer);
  await hear(here);
  return answer === null ? NO_ANSWER : null;
}

async function write(here: Listening, name: string): Promise<Refusal | null> {
  const profile = shownOf(here)?.profile ?? null;
  if (profile === null) return refused('Nothing was found yet that could be written.');
  const path = `profiles/${name}.yaml`;
  if (existsSync(join(here.data.siteDir, path)))
    return refused(`There is a profile ${name} already: choose another name.`);
  const files = [{ path, text: profile }];
  const answer = await here.change({ files, use: null, weights: [] });
  if (answer === null) return NO_ANSWER;
  return answer.ok ? null : refused(answer.reason ?? '');
}
