import { createHash } from 'node:crypto';
import type { FastifyInstance, FastifyReply } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import type { Book, BookModule, Unanswered } from '../evening.ts';
import type { Shared } from './app.ts';
import { refuse } from './guard.ts';

const day = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}$/)
  .optional();
const farm = z.string().max(200).optional();
const text = z.string().max(200).optional();
const count = z.coerce.number().int().min(0).max(1_000_000).optional();
const percent = z.coerce.number().min(30).max(70).optional();
const kg = z.coerce.number().min(1).max(1000).optional();

const ofDay = { day, farm };
const eveningAsk = z.object({ ...ofDay, killingOut: percent, target: kg });
const csvAsk = z.object({
  ...ofDay,
  separator: z.enum([',', ';', '\t']).default(','),
  decimal: z.enum(['.', ',']).default('.'),
  bom: z.enum(['yes', 'no']).default('no'),
});
const sheetAsk = z.object({
  ...ofDay,
  lot: text,
  pen: text,
  to: text,
  untagged: count,
  loaded: count,
  killingOut: percent,
});
const animalAsk = z.object({ farm, ends: z.string().regex(/^\d{3,15}$/) });

const LOOK = { config: { access: 'look' } } as const;

/** Answers from the day book; `open` is asked at the first question. */
export async function bookRoutes(
  plain: FastifyInstance,
  shared: Pick<Shared, 'book'>,
): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  app.addHook('onSend', (_request, reply, payload, done) => {
    void reply.header('cache-control', 'no-store');
    done(null, payload);
  });
  const answer = async (reply: FastifyReply, ask: (book: Book) => unknown): Promise<unknown> => {
    try {
      return ask(await shared.book());
    } catch (error) {
      // What the day book says of itself is meant for people: there is none yet, it is damaged.
      if (!(error instanceof Error) || error.name !== 'NoBook') throw error;
      return refuse(reply, 404, { error: 'not-found', reason: error.message });
    }
  };

  app.get('/api/book/days', LOOK, (_request, reply) => answer(reply, (book) => book.days()));

  app.get('/api/book', { ...LOOK, schema: { querystring: eveningAsk } }, (request, reply) => {
    const { killingOut = null, target = null, ...of } = request.query;
    return answer(reply, (book) => {
      const evening = book.evening({ ...whole(of), killingOut, targetKg: target });
      return evening ?? refuse(reply, 404, { error: 'not-found', reason: NOTHING });
    });
  });

  app.get(
    '/api/book/animals',
    { ...LOOK, schema: { querystring: z.object(ofDay) } },
    (request, reply) => {
      const of = whole(request.query);
      return answer(reply, (book) => book.lines(of.day, of.farm));
    },
  );

  app.get('/api/book/animal', { ...LOOK, schema: { querystring: animalAsk } }, (request, reply) =>
    answer(reply, (book) => {
      const { ends, farm = null } = request.query;
      // The page says whose; only where nobody does all the days are looked through.
      if (farm === null && new Set(book.days().flatMap((one) => one.farms)).size > 1)
        return refuse(reply, 409, { error: 'refused', reason: 'Choose one farm' });
      return book.animals(ends, farm);
    }),
  );

  filesToKeep(app, answer);
  await Promise.resolve();
}

const NOTHING = 'No crossings on that day';

type Answer = (reply: FastifyReply, ask: (book: Book) => unknown) => Promise<unknown>;

/** What is saved or printed. */
function filesToKeep(plain: FastifyInstance, answer: Answer): void {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  const given = (
    reply: FastifyReply,
    type: string,
    name: string | null,
    found: string | object | Unanswered,
  ): unknown => {
    if (typeof found === 'object' && 'refused' in found)
      return refuse(reply, 409, { error: 'refused', reason: found.refused });
    if (name !== null) void reply.header('content-disposition', `attachment; filename="${name}"`);
    return reply.type(type).send(found);
  };

  app.get('/api/book/csv', { ...LOOK, schema: { querystring: csvAsk } }, (request, reply) => {
    const { separator, decimal, bom, ...of } = request.query;
    if (separator === decimal)
      return refuse(reply, 400, {
        error: 'bad-request',
        reason: 'separator and decimal are alike',
      });
    const { day: on, farm: whose } = whole(of);
    const style = { separator, decimal, bom: bom === 'yes' };
    return answer(reply, (book) =>
      given(reply, 'text/csv; charset=utf-8', fileName(on, 'csv'), book.csv(on, whose, style)),
    );
  });

  app.get(
    '/api/book/icar',
    { ...LOOK, schema: { querystring: z.object(ofDay) } },
    (request, reply) => {
      const of = whole(request.query);
      return answer(reply, (book) =>
        given(reply, 'application/json', fileName(of.day, 'json'), book.icar(of.day, of.farm)),
      );
    },
  );

  app.get('/api/book/sheet', { ...LOOK, schema: { querystring: sheetAsk } }, (request, reply) => {
    const { day: on, farm: whose, ...more } = request.query;
    const { lot = null, pen = null, to = null, untagged = null } = more;
    const { loaded = null, killingOut = null } = more;
    const ask = { ...whole({ day: on, farm: whose }), lot, pen, to, untagged, loaded, killingOut };
    return answer(reply, (book) => {
      const sheet = book.sheet(ask);
      if (typeof sheet === 'string') ownStyle(reply, sheet);
      return given(reply, 'text/html; charset=utf-8', null, sheet);
    });
  });
}

/** The sheet carries its style with it; nothing else of it may run. */
export function ownStyle(reply: FastifyReply, sheet: string): void {
  const style = /<style>([\s\S]*?)<\/style>/.exec(sheet)?.[1] ?? '';
  const hash = createHash('sha256').update(style).digest('base64');
  void reply.header(
    'content-security-policy',
    `default-src 'none'; style-src 'sha256-${hash}'; base-uri 'none'; frame-ancestors 'none'`,
  );
}

function whole(of: { day?: string | undefined; farm?: string | undefined }): {
  day: string | null;
  farm: string | null;
} {
  return { day: of.day ?? null, farm: of.farm ?? null };
}

function fileName(on: string | null, ending: string): string {
  return `fank-${on ?? 'latest'}.${ending}`;
}

/** Opens the day book at the first question, by the module that the daemon names. */
export function lateBook(module: string | null, siteDir: string): () => Promise<Book> {
  let opened: Promise<Book> | null = null;
  return () => {
    if (module === null) return Promise.reject(noBook());
    opened ??= import(module).then((found) => (found as BookModule).openBook(siteDir));
    return opened;
  };
}

function noBook(): Error {
  const error = new Error('This page has no day book.');
  error.name = 'NoBook';
  return error;
}
