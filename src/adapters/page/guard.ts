/** Who may ask for what. All of it runs before a request's body is read or checked. */
import { isIP } from 'node:net';
import { hostname } from 'node:os';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Refusal } from './contracts.ts';
import type { Role } from './messages.ts';
import type { Session } from './sessions.ts';

/**
 * `open` needs nothing; `look` needs a sign-in only where the site says so; the others need that
 * role's PIN, and the installer's opens the operator's doors too.
 */
export type Access = 'open' | 'look' | Role;

declare module 'fastify' {
  interface FastifyContextConfig {
    access?: Access;
  }
  interface FastifyRequest {
    session: Session | null;
  }
}

/** Hosts by which a browser may have found this page: addresses, localhost and our own names. */
function hostIsOurs(header: string | undefined, names: readonly string[]): boolean {
  if (header === undefined) return false;
  const match = /^(?:\[([0-9a-f:.]+)\]|([^:@/\\]+))(?::\d{1,5})?$/i.exec(header);
  const host = (match?.[1] ?? match?.[2])?.toLowerCase();
  if (host === undefined) return false;
  // A page elsewhere can point a name of its own at this address, never an address.
  if (isIP(host) !== 0 || host === 'localhost') return true;
  const own = hostname().toLowerCase();
  return [own, `${own}.local`, ...names].includes(host);
}

/** True when a request that changes something comes from this page or from no page at all. */
function originIsOurs(request: Pick<FastifyRequest, 'headers'>): boolean {
  const { origin, host } = request.headers;
  const site = request.headers['sec-fetch-site'];
  if (site !== undefined && site !== 'same-origin' && site !== 'none') return false;
  return origin === undefined || origin === `http://${host ?? ''}`;
}

export function refuse(reply: FastifyReply, status: number, refusal: Refusal): FastifyReply {
  return reply.code(status).type('application/json').send(JSON.stringify(refusal));
}

function accessRefusal(access: Access, role: Role | null, openLooking: boolean): Refusal | null {
  if (access === 'open' || (access === 'look' && openLooking)) return null;
  if (role === null) {
    return { error: 'sign-in-first', reason: 'This needs a PIN: sign in first' };
  }
  if (access === 'installer' && role !== 'installer') {
    return { error: 'installer-only', reason: "This needs the installer's PIN" };
  }
  return null;
}

/** Puts the guard before every route; a route that does not say who may use it fails at start. */
export function guard(
  app: FastifyInstance,
  options: {
    names: readonly string[];
    openLooking: boolean;
    sessionOf: (request: FastifyRequest) => Session | null;
  },
): void {
  app.decorateRequest('session', null);
  app.addHook('onRoute', (route) => {
    if (route.config?.access === undefined) {
      throw new Error(`${String(route.method)} ${route.url} does not say who may use it`);
    }
  });
  app.addHook('onRequest', async (request, reply) => {
    if (!hostIsOurs(request.headers.host, options.names)) {
      return refuse(reply, 421, { error: 'not-here', reason: 'This name is not served here' });
    }
    if (!['GET', 'HEAD'].includes(request.method) && !originIsOurs(request)) {
      return refuse(reply, 403, { error: 'not-here', reason: 'Another site sent this' });
    }
    request.session = options.sessionOf(request);
    const access = request.routeOptions.config.access ?? 'open';
    const refusal = accessRefusal(access, request.session?.role ?? null, options.openLooking);
    if (refusal === null) return;
    return refuse(reply, refusal.error === 'sign-in-first' ? 401 : 403, refusal);
  });
}
