/** Who is signed in; any device that is can end another's sign-in: a phone that was lost. */
import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import type { Shared } from './app.ts';
import { deviceBody, devices, done, refusals } from './contracts.ts';
import { refuse } from './guard.ts';
import { clockText, type Session } from './sessions.ts';

/** Ends a sign-in, and with it what the device held and saw. */
export function endSession(
  { sessions, control, live }: Pick<Shared, 'sessions' | 'control' | 'live'>,
  session: Session,
): void {
  control.release(session.device);
  sessions.end(session.id);
  live.leave(session.device);
}

/** Sends away the pages of devices whose sign-in is over; to be called once a second. */
export function sendAway({ live, ...shared }: Shared): void {
  const signedIn = new Set(signedInNow(shared).map(({ device }) => device));
  for (const device of live.devices()) if (!signedIn.has(device)) live.leave(device);
}

function signedInNow({ sessions, secrets, clock }: Omit<Shared, 'live'>): Session[] {
  return sessions.list(clock.wall(), (role) => secrets.mark(role));
}

/* eslint-disable @typescript-eslint/require-await -- fastify's shapes of plugins and handlers */
export async function deviceRoutes(plain: FastifyInstance, shared: Shared): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get(
    '/api/devices',
    { config: { access: 'operator' }, schema: { response: { 200: devices, ...refusals } } },
    (request, reply) => {
      void reply.header('cache-control', 'no-store');
      const looking = shared.live.devices();
      return signedInNow(shared).map(({ id, device, role, untilMs }) => ({
        device,
        role,
        until: clockText(untilMs, shared.data.zone),
        looking: looking.has(device),
        me: id === request.session?.id,
      }));
    },
  );

  app.post(
    '/api/devices/end',
    {
      config: { access: 'operator' },
      schema: { body: deviceBody, response: { 200: done, ...refusals } },
    },
    async (request, reply) => {
      const found = signedInNow(shared).find(({ device }) => device === request.body.device);
      if (found === undefined) {
        return refuse(reply, 404, { error: 'not-found', reason: 'That phone is not signed in' });
      }
      endSession(shared, found);
      return { ok: true } as const;
    },
  );
}
