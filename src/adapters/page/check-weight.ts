/** The check with a known mass: kept in the day book, and shown from it. */
import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import type { Shared } from './app.ts';
import { done, refusals } from './contracts.ts';
import { refuse } from './guard.ts';

const reading = z.number().min(-100).max(5000);
const checkBody = z.strictObject({
  massKg: z.number().positive().max(5000),
  middleKg: reading,
  cornersKg: z.array(reading).max(4),
});

const NO_ANSWER = 'Fank did not answer: look whether the check is there before trying again';
/** Checks shown. */
const MOST = 6;

// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function checkRoutes(
  plain: FastifyInstance,
  shared: Pick<Shared, 'change' | 'book'>,
): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get('/api/check-weight', { config: { access: 'look' } }, async (_request, reply) => {
    void reply.header('cache-control', 'no-store');
    try {
      return (await shared.book()).checks(MOST);
    } catch (error) {
      if (!(error instanceof Error) || error.name !== 'NoBook') throw error;
      return [];
    }
  });

  app.post(
    '/api/check-weight',
    {
      config: { access: 'operator' },
      schema: { body: checkBody, response: { 200: done, ...refusals } },
    },
    async (request, reply) => {
      const check = { ...request.body, who: request.session?.role ?? null };
      const answer = await shared.change({ files: [], use: null, weights: [], check });
      if (answer === null) return refuse(reply, 504, { error: 'no-answer', reason: NO_ANSWER });
      if (answer.ok) return { ok: true } as const;
      return refuse(reply, 409, { error: 'refused', reason: answer.reason ?? 'Refused' });
    },
  );
}
