/** The fitting: what is open, what the service sees, and what the installer says of it. */
import type { FastifyInstance, FastifyReply } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import type { Shared } from './app.ts';
import { refuse } from './guard.ts';
import type { FittingAnswer, FittingAsk } from '../../fitting/view.ts';

const who = z.string().trim().min(1).max(60);
const item = z.string().min(1).max(80);
const value = z.union([
  z.boolean(),
  z.string().min(1).max(120),
  z.array(z.number().nullable()).max(8),
]);
const saidBody = z.discriminatedUnion('do', [
  z.strictObject({ do: z.literal('answer'), who, item, value }),
  z.strictObject({ do: z.literal('watch'), who, item }),
  z.strictObject({ do: z.literal('take'), who, item }),
  z.strictObject({ do: z.literal('again'), who, item }),
  z.strictObject({ do: z.literal('sign'), who }),
  z.strictObject({ do: z.literal('new-yard'), who, place: z.string().trim().min(1).max(80) }),
]);

const NO_ANSWER = 'Fank did not answer. If something moves, press the emergency stop';

// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function fittingRoutes(
  plain: FastifyInstance,
  shared: Pick<Shared, 'fitting'>,
): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  const answer = async (
    reply: FastifyReply,
    ask: FittingAsk,
    part: (answer: FittingAnswer) => object | null,
  ): Promise<FastifyReply> => {
    const given = await shared.fitting(ask);
    const body = given === null ? null : part(given);
    if (given === null || body === null) {
      return refuse(reply, 504, { error: 'no-answer', reason: NO_ANSWER });
    }
    if (given.refused !== null) {
      return refuse(reply, 409, { error: 'refused', reason: given.refused });
    }
    return reply.header('cache-control', 'no-store').send(body);
  };

  app.get('/api/fitting', { config: { access: 'operator' } }, (_request, reply) =>
    answer(reply, { ask: 'view' }, ({ view }) => view),
  );

  app.get('/api/fitting/live', { config: { access: 'installer' } }, (_request, reply) =>
    answer(reply, { ask: 'live' }, ({ live }) => live),
  );

  app.post(
    '/api/fitting',
    { config: { access: 'installer' }, schema: { body: saidBody } },
    (request, reply) => answer(reply, { ask: 'say', said: request.body }, ({ view }) => view),
  );
}
