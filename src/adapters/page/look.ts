import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';
import { FAULTS } from '../../core/faults/table.ts';
import type { Shared } from './app.ts';
import { refuse } from './guard.ts';
import { aged } from './links.ts';
import type { LinkFigures, Snapshot } from './messages.ts';
import { metricsText } from './metrics.ts';
import { ageOf, liveNow } from './race.ts';

/** The daemon counts as gone when it has said nothing for this long, ms. */
const GONE_MS = 2000;

/** What can be seen without changing anything. */
export async function lookRoutes(app: FastifyInstance, shared: Shared): Promise<void> {
  const { race, live, control, clock, data } = shared;

  app.get('/api/live', { config: { access: 'look' } }, (request, reply) => {
    const nowMs = clock.mono();
    const now = liveNow(race, control.holder(live.devices(), nowMs), nowMs);
    const first = now === null || race.layout === null ? null : { now, layout: race.layout };
    const out = live.open(request.ip, request.session?.device ?? null, first);
    if (out === null) {
      return refuse(reply, 503, { error: 'too-many', reason: 'Too many pages are open' });
    }
    return reply
      .header('content-type', 'text/event-stream; charset=utf-8')
      .header('cache-control', 'no-store')
      .send(out);
  });

  app.get('/api/now', { config: { access: 'look' } }, (_request, reply) => {
    const nowMs = clock.mono();
    void reply.header('cache-control', 'no-store');
    return reply.send({
      layout: race.layout,
      now: liveNow(race, control.holder(live.devices(), nowMs), nowMs),
    });
  });

  app.get('/api/links', { config: { access: 'look' } }, (_request, reply) =>
    reply.header('cache-control', 'no-store').send(linksNow(shared)),
  );

  app.get('/api/faults', { config: { access: 'look' } }, (_request, reply) => reply.send(FAULTS));

  app.get('/api/openapi.json', { config: { access: 'look' } }, (_request, reply) =>
    reply.send(app.swagger()),
  );

  app.get('/healthz', { config: { access: 'open' } }, (_request, reply) => {
    const ageMs = ageOf(race, clock.mono());
    const ok = ageMs !== null && ageMs < GONE_MS;
    return reply
      .code(ok ? 200 : 503)
      .send({ ok, ageMs, idle: isIdle(race.snapshot), version: data.version });
  });

  app.get('/metrics', { config: { access: 'look' } }, (_request, reply) =>
    reply.type('text/plain; version=0.0.4; charset=utf-8').send(
      metricsText({
        snapshot: race.snapshot,
        layout: race.layout,
        ageMs: ageOf(race, clock.mono()),
        streams: live.counts,
        wrongPins: shared.wrongPins,
        links: linksNow(shared),
      }),
    ),
  );

  await pageFiles(app, data.webDir);
}

/** How the links are heard by now. */
function linksNow({ links, clock }: Shared): LinkFigures[] {
  return aged(links.heard, clock.mono() - links.takenMs);
}

/**
 * Nothing is on the crate, moves or waits to: the service may be taken down. One that came on while
 * stopped is no animal yet: the weight tells of it, where there is one.
 */
function isIdle(now: Snapshot | null): boolean {
  const still = now?.mode === 'stopped' || now?.mode === 'fault';
  if (!still || now.animal !== null) return false;
  const empty = now.weight.state === 'empty' || now.weight.state === 'none';
  return empty && now.leaves.every((leaf) => leaf.moving === null);
}

/** The built page: names with a hash in them keep for ever, the first file never. */
async function pageFiles(app: FastifyInstance, webDir: string): Promise<void> {
  await app.register(fastifyStatic, {
    root: webDir,
    serve: false,
    preCompressed: true,
    cacheControl: false,
  });
  app.get<{ Params: { '*': string } }>('/*', { config: { access: 'open' } }, (request, reply) => {
    const path = request.params['*'] === '' ? 'index.html' : request.params['*'];
    const keeps = path.startsWith('assets/');
    void reply.header('cache-control', keeps ? 'public, max-age=31536000, immutable' : 'no-cache');
    return reply.sendFile(path);
  });
}
