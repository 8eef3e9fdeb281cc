import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import type { SessionOrder } from '../session.ts';
import type { Shared } from './app.ts';
import { done, refusals } from './contracts.ts';
import { refuse } from './guard.ts';

const NO_ANSWER = 'Fank did not answer: look whether it was taken before you say it again';

const of = { animal: z.int().min(0), session: z.string().min(1).max(60).exactOptional() };
const name = z.string().trim().min(1).max(60);
const said = z.string().trim().min(1).max(60).nullable();
const tag = z.string().regex(/^\d{15}$/);

const words = z.strictObject({
  farm: said,
  holding: said,
  flockMark: said,
  mob: said,
  field: said,
  hoursOffFeed: z.number().min(0).max(96).nullable(),
  fleece: z.enum(['dry', 'damp', 'wet']).nullable(),
  who: said,
});

const given = z.strictObject({
  product: name,
  batch: z.string().trim().max(60),
  expiry: z.union([z.literal(''), z.iso.date()]),
  mlPerKg: z.number().positive().max(10),
  stepMl: z.number().min(0.05).max(50),
  days: z.int().min(0).max(999).nullable(),
  use: z.enum(['label', 'off-label', 'not-for-food']),
});

const orderBody = z.discriminatedUnion('do', [
  z.strictObject({ do: z.literal('describe'), words }),
  z.strictObject({ do: z.literal('begin'), words }),
  z.strictObject({ do: z.literal('carry-on') }),
  z.strictObject({ do: z.literal('pulled-out'), ...of }),
  z.strictObject({ do: z.literal('went'), ...of, lot: name }),
  z.strictObject({ do: z.literal('take-back'), ...of }),
  z.strictObject({ do: z.literal('tag'), ...of, tag: z.union([tag, z.literal(false)]) }),
  z.strictObject({ do: z.literal('came-again'), ...of, same: z.boolean() }),
  z.strictObject({
    do: z.literal('dose'),
    ...of,
    ml: z.union([z.number().positive().max(500), z.literal(false)]),
  }),
  z.strictObject({ do: z.literal('new-pen'), exit: name }),
  z.strictObject({ do: z.literal('run-again'), pen: name }),
  z.strictObject({ do: z.literal('given'), given: given.nullable() }),
  z.strictObject({ do: z.literal('clock'), wallMs: z.int().min(Date.UTC(2026, 0, 1)) }),
]);

/** The session: what is on, and what people say of it. Nothing here moves a leaf. */
// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function sessionRoutes(plain: FastifyInstance, shared: Shared): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get('/api/session', { config: { access: 'look' } }, (_request, reply) =>
    reply.header('cache-control', 'no-store').send(shared.session),
  );

  app.post(
    '/api/session',
    {
      config: { access: 'operator' },
      schema: { body: orderBody, response: { 200: done, ...refusals } },
    },
    async (request, reply) => {
      const session = request.session;
      if (session === null) throw new Error('The guard let an order without a session through');
      const { device, role } = session;
      const answer = await shared.order(request.body satisfies SessionOrder, { role, device });
      if (answer === null) return refuse(reply, 504, { error: 'no-answer', reason: NO_ANSWER });
      if (answer.ok) return { ok: true } as const;
      return refuse(reply, 409, { error: 'refused', reason: answer.reason ?? 'Refused' });
    },
  );
}
