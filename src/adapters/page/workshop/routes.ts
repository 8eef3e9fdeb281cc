/** For whoever looks for a fault: what went wrong on which day, and the traces that it left. */
import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import type { Shared } from '../app.ts';
import { refuse } from '../guard.ts';
import { pathOf, tracesOf } from './files.ts';
import { NoTrace } from './contracts.ts';
import { readLines } from './lines.ts';
import { TraceViewer } from './trace-view.ts';

/** Days whose faults are told. */
const DAYS = 30;
/** A trace that takes longer than this to read is given up, ms. */
const LONGEST_MS = 30_000;
/** Readings that wait for the one under way. */
const WAITING = 3;

const t = z.coerce.number().int().min(0).max(1e9).optional();
const traceAsk = z.object({ name: z.string().max(120), from: t, to: t });

const INSTALLER = { config: { access: 'installer' } } as const;

export async function workshopRoutes(plain: FastifyInstance, shared: Shared): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  const { siteDir } = shared.data;
  const turns = createTurns();
  app.addHook('onSend', (_request, reply, payload, done) => {
    void reply.header('cache-control', 'no-store');
    done(null, payload);
  });

  app.get('/api/workshop/faults', { config: { access: 'look' } }, async () => {
    try {
      return (await shared.book()).faults(DAYS);
    } catch (error) {
      if (!(error instanceof Error) || error.name !== 'NoBook') throw error;
      return [];
    }
  });

  app.get('/api/workshop/traces', INSTALLER, () => tracesOf(siteDir));

  app.get(
    '/api/workshop/trace',
    { ...INSTALLER, schema: { querystring: traceAsk } },
    async (request, reply) => {
      const { name, from, to } = request.query;
      const path = await pathOf(siteDir, name);
      if (path === null) {
        return refuse(reply, 404, { error: 'not-found', reason: 'There is no trace of that name' });
      }
      const gone = new AbortController();
      reply.raw.once('close', () => {
        gone.abort();
      });
      const signal = AbortSignal.any([gone.signal, AbortSignal.timeout(LONGEST_MS)]);
      const window =
        from === undefined || to === undefined || to <= from ? null : ([from, to] as const);
      const read = async () => {
        const viewer = new TraceViewer(window === null ? null : [...window]);
        await readLines(
          path,
          (line) => {
            viewer.take(line);
          },
          signal,
        );
        return { name, zone: shared.data.zone, ...viewer.read() };
      };
      const turn = turns.next(read);
      if (turn === null) {
        return refuse(reply, 503, {
          error: 'too-many',
          reason: 'Traces are being read; try again',
        });
      }
      return turn.catch((error: unknown) =>
        refuse(reply, 422, { error: 'refused', reason: whyNot(error) }),
      );
    },
  );
  await Promise.resolve();
}

function whyNot(error: unknown): string {
  if (error instanceof NoTrace) return error.message;
  if (error instanceof Error && error.name === 'TimeoutError') {
    return 'This trace takes too long to read. Copy it and look at it with: fank replay';
  }
  return 'This trace cannot be read: it is damaged, or was taken away meanwhile.';
}

/** One reading at a time; null where too many wait. */
function createTurns(): { next<T>(work: () => Promise<T>): Promise<T> | null } {
  let last: Promise<unknown> = Promise.resolve();
  let waiting = 0;
  return {
    next(work) {
      if (waiting >= WAITING) return null;
      waiting += 1;
      const mine = last.then(work);
      last = mine
        .catch(() => undefined)
        .then(() => {
          waiting -= 1;
        });
      return mine;
    },
  };
}
