/** Links as QR codes: to the page, and to the lot sheet of one farm and day for somebody else's phone. */
import { createHmac, timingSafeEqual } from 'node:crypto';
import type { AddressInfo } from 'node:net';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import type { Shared } from './app.ts';
import { ownStyle } from './book.ts';
import type { SharedSheet } from './contracts.ts';
import { refuse } from './guard.ts';
import { addressOf, qrOf } from './qr.ts';

const HOUR_MS = 3_600_000;
/** A link to a sheet is good for so long. */
const LASTS_MS = 72 * HOUR_MS;
const DAY = /^\d{4}-\d{2}-\d{2}$/;

const shareBody = z.strictObject({
  day: z.string().regex(DAY),
  /** '' stands for sessions that name no farm. */
  farm: z.string().max(200),
});
const shown = z.strictObject({
  day: z.string().regex(DAY),
  farm: z.string().max(200),
  untilMs: z.number(),
  pinMark: z.string(),
});
type Shown = z.infer<typeof shown>;

const GONE = 'This link is no longer good. Ask the farm for a new one.';

// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function shareRoutes(plain: FastifyInstance, shared: Shared): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  const { secrets, clock } = shared;
  const address = (request: FastifyRequest): string => {
    const bound = app.server.address() as AddressInfo | null;
    return addressOf(request.headers.host ?? '', bound?.port ?? 80);
  };
  app.addHook('onSend', (_request, reply, payload, done) => {
    void reply.header('cache-control', 'no-store');
    done(null, payload);
  });

  app.get('/api/sign-in-code', { config: { access: 'look' } }, (request) =>
    qrOf(`${address(request)}/#sign-in`),
  );

  app.post(
    '/api/book/share',
    { config: { access: 'operator' }, schema: { body: shareBody } },
    (request): SharedSheet => {
      const given = { ...request.body, untilMs: clock.wall() + LASTS_MS };
      const token = seal({ ...given, pinMark: secrets.mark('operator') }, secrets.cookieKey);
      const code = qrOf(`${address(request)}/sheet?of=${token}`);
      return { ...code, day: given.day, hours: LASTS_MS / HOUR_MS };
    },
  );

  app.get(
    '/sheet',
    { config: { access: 'open' }, schema: { querystring: z.object({ of: z.string().max(1200) }) } },
    async (request, reply) => {
      const asked = unseal(request.query.of, secrets.cookieKey);
      const leftMs = (asked?.untilMs ?? 0) - clock.wall();
      const good = leftMs > 0 && leftMs <= LASTS_MS && asked?.pinMark === secrets.mark('operator');
      if (asked === null || !good) return reply.code(410).type('text/plain').send(GONE);
      const all = {
        lot: null,
        pen: null,
        to: null,
        untagged: null,
        loaded: null,
        killingOut: null,
      };
      const sheet = (await shared.book()).sheet({ day: asked.day, farm: asked.farm, ...all });
      if (typeof sheet !== 'string') {
        return refuse(reply, 404, { error: 'not-found', reason: sheet.refused });
      }
      ownStyle(reply, sheet);
      return reply.type('text/html; charset=utf-8').send(sheet);
    },
  );
}

/** `payload.signature`, both base64url. */
function seal(given: Shown, key: string): string {
  const payload = Buffer.from(JSON.stringify(given)).toString('base64url');
  return `${payload}.${sign(payload, key).toString('base64url')}`;
}

/** What was sealed; null where it was not by this site. */
function unseal(token: string, key: string): Shown | null {
  const [payload = '', signature = ''] = token.split('.');
  const [given, right] = [Buffer.from(signature, 'base64url'), sign(payload, key)];
  if (given.length !== right.length || !timingSafeEqual(given, right)) return null;
  const read = shown.safeParse(JSON.parse(Buffer.from(payload, 'base64url').toString('utf8')));
  return read.success ? read.data : null;
}

/** Never what signs a cookie: the name of its purpose is signed along. */
function sign(payload: string, key: string): Buffer {
  return createHmac('sha256', key).update(`lot sheet ${payload}`).digest();
}
