import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import type { Command } from '../../core/trace.ts';
import type { Shared } from './app.ts';
import { commandBody, controlBody, done, emptyBody, refusals } from './contracts.ts';
import { refuse } from './guard.ts';

const NO_ANSWER = 'Fank did not answer. If something moves, press the emergency stop';

/** Commands that any signed-in device may give, whoever holds manual control: towards standstill. */
const FREE: ReadonlySet<Command['do']> = new Set<Command['do']>(['pause']);

// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function actRoutes(plain: FastifyInstance, shared: Shared): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  const { clock, control, live } = shared;

  app.post(
    '/api/stop',
    {
      config: { access: 'open', rateLimit: false },
      schema: { body: emptyBody, response: { 200: done, ...refusals } },
    },
    async (request, reply) => {
      shared.presses.end();
      const device = request.session?.device ?? null;
      const answer = await shared.command({ do: 'stop' }, { role: 'anyone', device });
      if (answer === null) return refuse(reply, 504, { error: 'no-answer', reason: NO_ANSWER });
      if (answer.ok) return { ok: true } as const;
      return refuse(reply, 409, { error: 'refused', reason: answer.reason ?? 'Refused' });
    },
  );

  app.post(
    '/api/command',
    {
      config: { access: 'operator' },
      schema: { body: commandBody, response: { 200: done, ...refusals } },
    },
    async (request, reply) => {
      const session = request.session;
      if (session === null) throw new Error('The guard let a command without a session through');
      const { device, role } = session;
      const nowMs = clock.mono();
      const holder = control.holder(live.devices(), nowMs);
      if (!FREE.has(request.body.do) && !control.use(device, nowMs)) {
        return refuse(reply, 409, {
          error: 'held-by-other',
          reason: `Phone ${String(holder?.device)} has the controls: take them over first`,
          ...(holder === null ? {} : { device: holder.device }),
        });
      }
      const answer = await shared.command(request.body, { role, device });
      if (answer === null) return refuse(reply, 504, { error: 'no-answer', reason: NO_ANSWER });
      if (answer.ok) return { ok: true } as const;
      return refuse(reply, 409, { error: 'refused', reason: answer.reason ?? 'Refused' });
    },
  );

  app.post(
    '/api/control',
    {
      config: { access: 'operator' },
      schema: { body: controlBody, response: { 200: done, ...refusals } },
    },
    (request) => {
      const device = request.session?.device;
      if (device !== undefined) {
        if (request.body.take) control.take(device, clock.mono());
        else control.release(device);
      }
      return { ok: true } as const;
    },
  );
}
