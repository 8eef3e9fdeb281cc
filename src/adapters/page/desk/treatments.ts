/** The treatment record: given to tags, a whole mob or a colour mark; what is wrong is corrected. */
import { createHash } from 'node:crypto';
import { existsSync } from 'node:fs';
import type { FastifyInstance, FastifyReply } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { stringify } from 'csv-stringify/sync';
import { z } from 'zod';
import { isOf } from '../../../config/farms.ts';
import { readTreatments, type RecordedTreatment } from '../../../config/lists.ts';
import { readText } from '../../../config/files.ts';
import { correctedText, treatmentsText } from '../../../config/treatments-file.ts';
import { dayText } from '../../../core/sortplan/days.ts';
import {
  freeDay,
  periodDays,
  type OffLabel,
  type Treatment,
} from '../../../core/sortplan/withdrawal.ts';
import type { Shared } from '../app.ts';
import { refuse } from '../guard.ts';
import { inTurn, refuseErrors } from './answers.ts';
import { farmOf, handFiles } from './lists.ts';
import { readRecord, readSite, todayIn } from './site.ts';
import { join } from 'node:path';

const short = z.string().trim().max(80);
const addBody = z.strictObject({
  product: short,
  given: short,
  /** Whole days, or `unclear`. */
  days: short,
  batch: short,
  use: z.enum(['label', 'off-label', 'not-for-food']),
  /** Tags, one a line; empty where it was given to the mob or a colour. */
  tags: z.string().max(200_000),
  mob: short,
  colour: short,
});
const correctBody = z.strictObject({
  /** Of the record as it was seen: another change in between is not overwritten. */
  record: z.string(),
  at: z.int().min(0),
  /** What is right; null: the treatment never was. */
  right: z.strictObject({ given: short, days: short }).nullable(),
  why: short.min(1),
});

const OPERATE = { config: { access: 'operator' }, bodyLimit: 256 * 1024 } as const;
const HEAD = ['product', 'given', 'days', 'batch', 'use', 'tag', 'mob', 'colour'];

type Desk = Shared & { siteDir: string };

// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function treatmentRoutes(plain: FastifyInstance, shared: Desk): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get('/api/treatments', { config: { access: 'look' } }, (_request, reply) => {
    const site = readSite(shared.siteDir);
    const record = readRecord(shared.siteDir);
    if (!site.ok) return refuseErrors(reply, site.errors);
    if (!record.ok) return refuseErrors(reply, record.errors);
    const { zone, offLabel } = site.value.site;
    const { text, day } = todayIn(zone, shared.clock.wall());
    const farm = farmOf(shared);
    const { mine } = split(record.value, farm);
    const treatments = mine.map((one) => inWords(one, offLabel, day));
    return reply.send({ record: mark(record.value), farm, today: text, treatments, offLabel });
  });

  app.post('/api/treatments/add', { ...OPERATE, schema: { body: addBody } }, (request, reply) =>
    inTurn(() => add(reply, shared, request.body)),
  );

  correctRoute(app, shared);
}

async function add(
  reply: FastifyReply,
  shared: Desk,
  body: z.output<typeof addBody>,
): Promise<FastifyReply> {
  const site = readSite(shared.siteDir);
  const record = readRecord(shared.siteDir);
  if (!site.ok) return refuseErrors(reply, site.errors);
  if (!record.ok) return refuseErrors(reply, record.errors);
  const { day } = todayIn(site.value.site.zone, shared.clock.wall());
  const read = readTreatments(asRows(body), 'treatment', day);
  if (!read.ok) {
    const errors = [...new Set(read.errors.map(({ message, remedy }) => `${message}. ${remedy}`))];
    return reply.send({ saved: false, errors: errors.slice(0, 6) });
  }
  const farm = farmOf(shared);
  const rows = read.value.rows.map((row) => ({ ...row, farm }));
  const text = treatmentsText([...record.value, ...rows]);
  return handFiles(reply, shared, site.value, [{ path: 'treatments.csv', text }]);
}

function correctRoute(plain: FastifyInstance, shared: Desk): void {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  app.post(
    '/api/treatments/correct',
    { ...OPERATE, schema: { body: correctBody } },
    (request, reply) => {
      const who = `phone ${String(request.session?.device ?? 0)}`;
      return inTurn(() => correct(reply, shared, request.body, who));
    },
  );
}

async function correct(
  reply: FastifyReply,
  shared: Desk,
  body: z.output<typeof correctBody>,
  who: string,
): Promise<FastifyReply> {
  const site = readSite(shared.siteDir);
  const record = readRecord(shared.siteDir);
  if (!site.ok) return refuseErrors(reply, site.errors);
  if (!record.ok) return refuseErrors(reply, record.errors);
  const { at, right, why } = body;
  const { mine, others } = split(record.value, farmOf(shared));
  const wrong = mine[at];
  if (wrong === undefined || body.record !== mark(record.value))
    return refuse(reply, 409, {
      error: 'refused',
      reason: 'The record has changed: look again',
    });
  const { text: today, day } = todayIn(site.value.site.zone, shared.clock.wall());
  const left = mine.filter((_, place) => place !== at);
  let corrected: RecordedTreatment[] = [];
  if (right !== null) {
    const rows = {
      ...wrong,
      batch: wrong.batch,
      mob: wrong.mob ?? '',
      colour: wrong.colour ?? '',
    };
    const text = asRows({ ...rows, ...right, tags: wrong.tags.join('\n') });
    const read = readTreatments(text, 'treatment', day);
    if (!read.ok)
      return reply.send({
        saved: false,
        errors: read.errors.slice(0, 1).map((one) => `${one.message}. ${one.remedy}`),
      });
    corrected = read.value.rows.map((row) => ({ ...row, farm: wrong.farm }));
  }
  const file = join(shared.siteDir, 'treatments-corrected.csv');
  const old = existsSync(file) ? readText(file) : { ok: true as const, value: '' };
  if (!old.ok) return refuseErrors(reply, old.errors);
  return handFiles(reply, shared, site.value, [
    // What is taken away is on record before it goes: the card may be cut off between the two.
    {
      path: 'treatments-corrected.csv',
      text: correctedText(old.value, [wrong], { day: today, who, why }),
    },
    { path: 'treatments.csv', text: treatmentsText([...others, ...left, ...corrected]) },
  ]);
}

/** The form as the rows of a list, so that it is read and refused in the same words. */
function asRows(given: Omit<z.output<typeof addBody>, 'use'> & { use: Treatment['use'] }): string {
  const tags = given.tags.split(/[\s,;]+/).filter((tag) => tag !== '');
  const { product, given: on, days, batch, use, mob, colour } = given;
  const rows = (tags.length === 0 ? [''] : tags).map((tag) => [
    ...[product, on, days, batch, use, tag, mob, colour],
  ]);
  return stringify([HEAD, ...rows]);
}

/** The treatments that a farm is shown and may correct, each with all its tags; and those of others. */
function split(
  record: readonly RecordedTreatment[],
  farm: string | null,
): { mine: RecordedTreatment[]; others: RecordedTreatment[] } {
  return {
    mine: grouped(record.filter((one) => isOf(one, farm))),
    others: record.filter((one) => !isOf(one, farm)),
  };
}

/** One treatment with all its tags: in the file each tag has its row. */
function grouped(record: readonly RecordedTreatment[]): RecordedTreatment[] {
  const groups = new Map<string, RecordedTreatment>();
  for (const one of record) {
    const key = JSON.stringify({ ...one, tags: one.tags.length > 0 });
    const before = groups.get(key);
    groups.set(key, before === undefined ? one : { ...one, tags: [...before.tags, ...one.tags] });
  }
  return [...groups.values()];
}

function mark(record: readonly RecordedTreatment[]): string {
  return createHash('sha256').update(JSON.stringify(record)).digest('hex').slice(0, 16);
}

function inWords(one: RecordedTreatment, offLabel: OffLabel, today: number | null): object {
  const period = periodDays(one.days, one.use, offLabel);
  const free = period === null ? null : freeDay(one.givenDay, period);
  const { tags, givenDay, ...rest } = one;
  return {
    ...rest,
    given: dayText(givenDay),
    tags: tags.length,
    firstTags: tags.slice(0, 3),
    period,
    freeOn: free === null ? null : dayText(free),
    /** Null free day: held until the record says otherwise. */
    open: free === null || today === null || givenDay > today || free > today,
  };
}
