import cookie from '@fastify/cookie';
import helmet from '@fastify/helmet';
import rateLimit from '@fastify/rate-limit';
import swagger from '@fastify/swagger';
import Fastify, { type FastifyError, type FastifyInstance, type FastifyRequest } from 'fastify';
import {
  hasZodFastifySchemaValidationErrors,
  jsonSchemaTransform,
  serializerCompiler,
  validatorCompiler,
} from 'fastify-type-provider-zod';
import type { SiteChange } from '../../config/site-change.ts';
import type { Command } from '../../core/trace.ts';
import type { Book } from '../evening.ts';
import type { SessionOrder, SessionShown } from '../session.ts';
import { bookRoutes } from './book.ts';
import { checkRoutes } from './check-weight.ts';
import { keepRoom } from './connections.ts';
import { createControl, type ManualControl } from './control.ts';
import { listRoutes } from './desk/lists.ts';
import { planRoutes } from './desk/plans.ts';
import { deviceRoutes, sendAway } from './devices.ts';
import { fittingRoutes } from './fitting.ts';
import { listenRoutes } from './listen.ts';
import { powerRoutes } from './power.ts';
import { guard, refuse } from './guard.ts';
import { createPresses, holdRoutes, type Presses } from './hold.ts';
import { createLive, type LiveStreams } from './live.ts';
import type {
  CommandAnswer,
  Layout,
  LinkFigures,
  PageThreadData,
  Snapshot,
  Who,
} from './messages.ts';
import type { FittingAnswer, FittingAsk } from '../../fitting/view.ts';
import { ageOf, liveNow, type Race } from './race.ts';
import { actRoutes } from './act.ts';
import { lookRoutes } from './look.ts';
import { sessionRoutes } from './session.ts';
import { shareRoutes } from './share.ts';
import { COOKIE, signInRoutes } from './signin.ts';
import type { Secrets } from './secrets.ts';
import { workshopRoutes } from './workshop/routes.ts';
import type { Sessions } from './sessions.ts';

/** Requests that one address may make in a minute; stop is not counted. */
const REQUESTS_A_MINUTE = 600;
const BODY_BYTES = 16 * 1024;
/** A request that is still arriving after this is cut off, ms. */
const ARRIVES_MS = 10_000;

export interface Clock {
  /** UTC ms, for how long a sign-in lasts. */
  wall(): number;
  /** Monotonic ms, for everything else. */
  mono(): number;
}

/** All that the routes share. */
export interface Shared {
  data: Pick<
    PageThreadData,
    'searchModule' | 'siteDir' | 'webDir' | 'names' | 'openLooking' | 'version' | 'zone'
  >;
  secrets: Secrets;
  sessions: Sessions;
  clock: Clock;
  /**
   * Gives a command to the daemon; null when it did not answer. One that it gets more than `withinMs`
   * from now is refused.
   */
  command(command: Command, who: Who, withinMs?: number): Promise<CommandAnswer | null>;
  /** Gives a word on the session to the daemon; null when it did not answer. */
  order(order: SessionOrder, who: Who): Promise<CommandAnswer | null>;
  /** Has a change of the site written and taken into use; null when the daemon did not answer. */
  change(change: SiteChange): Promise<CommandAnswer | null>;
  /** Asks the fitting; null when the daemon did not answer. */
  fitting(ask: FittingAsk): Promise<FittingAnswer | null>;
  /** The day book, opened at the first question. */
  book(): Promise<Book>;
  race: Race;
  /** The session as it was told last. */
  session: SessionShown | null;
  /** How the links were heard when the daemon last told. */
  links: { heard: LinkFigures[]; takenMs: number };
  live: LiveStreams;
  control: ManualControl;
  presses: Presses;
  wrongPins: number;
}

export interface PageApp {
  app: FastifyInstance;
  describe(layout: Layout): void;
  tellSession(session: SessionShown): void;
  show(snapshot: Snapshot): void;
  hear(links: LinkFigures[]): void;
  /** Once a second: a sign of life to the pages, also while the daemon is silent. */
  beat(): void;
}

export async function buildApp(
  given: Omit<Shared, 'race' | 'session' | 'links' | 'live' | 'control' | 'wrongPins' | 'presses'>,
): Promise<PageApp> {
  const shared: Shared = {
    ...given,
    session: null,
    race: { layout: null, snapshot: null, takenMs: 0 },
    links: { heard: [], takenMs: 0 },
    live: createLive(),
    control: createControl(),
    presses: createPresses(given.clock.wall()),
    wrongPins: 0,
  };
  const app = createServer();
  await plugins(app, shared);
  app.addHook('preClose', () => {
    shared.live.close();
  });
  await app.register(signInRoutes, shared);
  await app.register(deviceRoutes, shared);
  await app.register(lookRoutes, shared);
  await app.register(actRoutes, shared);
  await app.register(sessionRoutes, shared);
  await app.register(holdRoutes, shared);
  await app.register(fittingRoutes, shared);
  await app.register(listenRoutes, shared);
  await app.register(powerRoutes);
  await app.register(bookRoutes, shared);
  await app.register(checkRoutes, shared);
  await app.register(shareRoutes, shared);
  await app.register(workshopRoutes, shared);
  // The same object: what is told of the session later is seen there too.
  const desk = Object.assign(shared, { siteDir: shared.data.siteDir });
  await app.register(planRoutes, desk);
  await app.register(listRoutes, desk);
  await app.ready();
  return { app, ...feed(shared) };
}

function createServer(): FastifyInstance {
  const app = Fastify({
    bodyLimit: BODY_BYTES,
    requestTimeout: ARRIVES_MS,
    forceCloseConnections: true,
    http: { headersTimeout: ARRIVES_MS },
    routerOptions: { maxParamLength: 100 },
  });
  keepRoom(app.server);
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(serializerCompiler);
  // A form of another site can post text without asking first; nothing here reads text.
  app.removeContentTypeParser('text/plain');
  app.setErrorHandler((error: FastifyError, request, reply) => {
    if (hasZodFastifySchemaValidationErrors(error)) {
      const where = error.validation.map((one) => `${one.instancePath || 'body'}: ${one.message}`);
      return refuse(reply, 400, { error: 'bad-request', reason: where.join('; ').slice(0, 300) });
    }
    const status = error.statusCode ?? 500;
    if (status === 429) {
      return refuse(reply, 429, { error: 'too-many', reason: 'Too many requests; wait a minute' });
    }
    if (status < 500) return refuse(reply, status, { error: 'bad-request', reason: error.message });
    // Without the question: what stands in it may open something.
    const path = request.url.split('?')[0] ?? '';
    process.stderr.write(`page: ${request.method} ${path}: ${error.stack ?? ''}\n`);
    return refuse(reply, 500, { error: 'failed', reason: 'Fank could not do this; see its log' });
  });
  app.setNotFoundHandler((_request, reply) =>
    refuse(reply, 404, { error: 'not-found', reason: 'There is nothing here' }),
  );
  return app;
}

async function plugins(app: FastifyInstance, shared: Shared): Promise<void> {
  const { data, secrets, sessions, clock } = shared;
  await app.register(cookie, { secret: secrets.cookieKey });
  guard(app, {
    names: data.names,
    openLooking: data.openLooking,
    sessionOf: (request: FastifyRequest) => {
      const raw = request.cookies[COOKIE];
      if (raw === undefined) return null;
      const { valid, value } = request.unsignCookie(raw);
      return valid ? sessions.find(value, clock.wall(), (role) => secrets.mark(role)) : null;
    },
  });
  await app.register(helmet, HEADERS);
  await app.register(rateLimit, { max: REQUESTS_A_MINUTE, timeWindow: '1 minute' });
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: { title: 'Fank', version: data.version, description: 'The page’s own interface' },
    },
    transform: jsonSchemaTransform,
  });
}

const HEADERS = {
  contentSecurityPolicy: {
    useDefaults: false,
    directives: {
      defaultSrc: ["'none'"],
      scriptSrc: ["'self'"],
      styleSrc: ["'self'"],
      imgSrc: ["'self'"],
      connectSrc: ["'self'"],
      baseUri: ["'none'"],
      formAction: ["'none'"],
      frameAncestors: ["'none'"],
    },
  },
  // On plain http these leave the page blank or fill the console.
  strictTransportSecurity: false,
  crossOriginOpenerPolicy: false,
  originAgentCluster: false,
} as const;

function feed(shared: Shared): Omit<PageApp, 'app'> {
  const { race, live, control, clock } = shared;
  return {
    describe(layout) {
      race.layout = layout;
    },
    tellSession(session) {
      shared.session = session;
    },
    show(snapshot) {
      const nowMs = clock.mono();
      race.snapshot = snapshot;
      race.takenMs = nowMs;
      if (race.layout === null) return;
      const now = liveNow(race, control.holder(live.devices(), nowMs), nowMs);
      if (now !== null) live.send(now, race.layout, nowMs);
    },
    hear(links) {
      shared.links = { heard: links, takenMs: clock.mono() };
    },
    beat() {
      const nowMs = clock.mono();
      sendAway(shared);
      live.beat({ ageMs: ageOf(race, nowMs), sentMs: Math.round(nowMs) }, nowMs);
    },
  };
}
