import { randomBytes } from 'node:crypto';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import type { Shared } from './app.ts';
import { createAttempts } from './attempts.ts';
import { emptyBody, pinBody, refusals, signedIn, type SignedIn } from './contracts.ts';
import { endSession } from './devices.ts';
import { refuse } from './guard.ts';
import { clockText, type Session } from './sessions.ts';

export const COOKIE = 'fank';
/** Marks a device that has known a PIN, so that others' wrong tries never slow it down. */
const DEVICE_COOKIE = 'fank-device';
/** PINs being checked at once, all devices together: each takes 32 MiB and some tens of ms. */
const CHECKS = 4;
const YEAR_S = 365 * 24 * 3600;

const KEPT = { path: '/', httpOnly: true, sameSite: 'strict', signed: true } as const;

function knownDevice(request: FastifyRequest): string | null {
  const raw = request.cookies[DEVICE_COOKIE];
  if (raw === undefined) return null;
  const { valid, value } = request.unsignCookie(raw);
  return valid ? value : null;
}

function wait(reply: FastifyReply, ms: number): FastifyReply {
  const waitS = Math.ceil(ms / 1000);
  void reply.header('retry-after', String(waitS));
  return refuse(reply, 429, {
    error: 'wait',
    reason: `Wait ${String(waitS)} s, then try the PIN again`,
    waitS,
  });
}

// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function signInRoutes(plain: FastifyInstance, shared: Shared): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  const { secrets, sessions, clock } = shared;
  const attempts = createAttempts();
  let checking = 0;

  app.post(
    '/api/sign-in',
    {
      // Guessing is slowed down by device, below; counting by address would lock out its neighbours.
      config: { access: 'open', rateLimit: false },
      schema: { body: pinBody, response: { 200: signedIn, ...refusals } },
    },
    async (request, reply) => {
      const device = knownDevice(request);
      const key = device ?? request.ip;
      const waitMs = attempts.begin(key, clock.mono());
      if (waitMs > 0) return wait(reply, waitMs);
      if (checking >= CHECKS) {
        attempts.right(key);
        return refuse(reply, 503, { error: 'too-many', reason: 'Busy; try again in a moment' });
      }
      checking++;
      const role = await secrets.roleOf(request.body.pin).finally(() => checking--);
      if (role === null) {
        shared.wrongPins++;
        attempts.wrong(key, clock.mono());
        return refuse(reply, 401, { error: 'wrong-pin', reason: 'That PIN is not right' });
      }
      attempts.right(key);
      if (request.session !== null) sessions.end(request.session.id);
      const session = sessions.begin(role, secrets.mark(role), clock.wall());
      const lastsS = Math.round((session.untilMs - clock.wall()) / 1000);
      void reply.setCookie(COOKIE, session.id, { ...KEPT, maxAge: lastsS });
      const name = device ?? randomBytes(12).toString('base64url');
      void reply.setCookie(DEVICE_COOKIE, name, { ...KEPT, maxAge: YEAR_S });
      return told(session);
    },
  );

  app.post(
    '/api/sign-out',
    {
      config: { access: 'open' },
      schema: { body: emptyBody, response: { 200: signedIn, ...refusals } },
    },
    (request, reply) => {
      if (request.session !== null) endSession(shared, request.session);
      void reply.clearCookie(COOKIE, { path: '/' });
      return told(null);
    },
  );

  app.get(
    '/api/me',
    { config: { access: 'open' }, schema: { response: { 200: signedIn, ...refusals } } },
    (request) => told(request.session),
  );

  function told(session: Session | null): SignedIn {
    if (session === null) return { role: null, device: null, until: null };
    const { role, device, untilMs } = session;
    return { role, device, until: clockText(untilMs, shared.data.zone) };
  }
}
