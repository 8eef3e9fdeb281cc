/** Tag lists, treatments and earlier weights from a spreadsheet: looked at first, then all or nothing. */
import { join } from 'node:path';
import type { FastifyInstance, FastifyReply } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { stringify } from 'csv-stringify/sync';
import { MOST_CHARACTERS } from '../../../config/csv.ts';
import type { ConfigError, Loaded } from '../../../config/errors.ts';
import { readTagFile } from '../../../config/facts.ts';
import { isOf, type OfFarm } from '../../../config/farms.ts';
import { readText } from '../../../config/files.ts';
import {
  readTags,
  readTreatments,
  readWeights,
  type Imported,
  type ListedTag,
} from '../../../config/lists.ts';
import { treatmentsText } from '../../../config/treatments-file.ts';
import { dayText } from '../../../core/sortplan/days.ts';
import type { Shared } from '../app.ts';
import { refuse } from '../guard.ts';
import { exitsOf, hand, inTurn, refuseErrors } from './answers.ts';
import { listNames, planInUse, readPlan, readRecord, readSite, type Files } from './site.ts';
import { todayIn, type SiteOnDisk } from './site.ts';
import { treatmentRoutes } from './treatments.ts';

const listFile = z.string().regex(/^[\p{L}\p{N}][\p{L}\p{N} ._-]{0,75}\.csv$/u);
const listBody = z.strictObject({
  kind: z.enum(['tags', 'treatments', 'weights']),
  file: listFile,
  text: z.string().max(MOST_CHARACTERS),
});

/** A list as JSON may be this long, bytes. */
const LIST_BYTES = 6 * 1024 * 1024;
const OPERATE = { config: { access: 'operator' }, bodyLimit: LIST_BYTES } as const;

type Desk = Shared & { siteDir: string };
type List = z.output<typeof listBody>;

export async function listRoutes(plain: FastifyInstance, shared: Desk): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get('/api/lists', { config: { access: 'look' } }, (_request, reply) => {
    const site = readSite(shared.siteDir);
    if (!site.ok) return refuseErrors(reply, site.errors);
    const names = listNames(shared.siteDir).filter((file) =>
      hasRowsOf(rowsIn(shared.siteDir, file), farmOf(shared)),
    );
    return reply.send({ lists: names.map((file) => listed(site.value, file)) });
  });

  app.post('/api/lists/check', { ...OPERATE, schema: { body: listBody } }, (request, reply) => {
    const site = readSite(shared.siteDir);
    if (!site.ok) return refuseErrors(reply, site.errors);
    const read = readList(request.body, site.value, shared.clock.wall(), farmOf(shared));
    return reply.send(read.ok ? { preview: read.value.preview, errors: [] } : said(read.errors));
  });

  app.post('/api/lists/save', { ...OPERATE, schema: { body: listBody } }, (request, reply) =>
    inTurn(async () => {
      const site = readSite(shared.siteDir);
      if (!site.ok) return refuseErrors(reply, site.errors);
      return saveList(reply, shared, site.value, request.body);
    }),
  );

  await app.register(treatmentRoutes, shared);
}

/** The farm of the session that is on: lists are brought in, shown and put right for it alone. */
export function farmOf({ session }: Pick<Shared, 'session'>): string | null {
  return session?.words.farm ?? null;
}

/** The rows of a list as it stands beside the plans; none where it is not there, or is broken. */
function rowsIn(dir: string, file: string): ListedTag[] {
  const path = join(dir, 'plans', file);
  const text = readText(path);
  const read = text.ok ? readTagFile(text.value, path) : text;
  return read.ok ? read.value : [];
}

/** A list of other farms alone is not shown. */
function hasRowsOf(rows: readonly ListedTag[], farm: string | null): boolean {
  return rows.length === 0 || rows.some((row) => isOf(row, farm));
}

/** The list for these farms anew; rows of others, under the same file name, stay as they were. */
function tagsText(before: readonly ListedTag[], rows: readonly ListedTag[]): string {
  const anew = new Set(rows.map(({ farm }) => farm));
  const kept = before.filter(({ farm }) => !anew.has(farm));
  const all = [...kept, ...rows].map(({ tag, farm }) => [tag, farm ?? '']);
  return stringify([['tag', 'farm'], ...all]);
}

/** What is wrong, row by row; the page has no use for the file's name. */
function said(errors: readonly ConfigError[]): object {
  return {
    preview: null,
    errors: errors.map(({ line, column, message, remedy }) => ({ line, column, message, remedy })),
  };
}

function readList(
  list: List,
  { site }: SiteOnDisk,
  wallMs: number,
  farm: string | null,
): Loaded<Imported<unknown>> {
  const { day } = todayIn(site.zone, wallMs);
  if (list.kind === 'tags') return ofThis(farm, readTags(list.text, list.file));
  if (list.kind === 'weights') return readWeights(list.text, list.file, day);
  return ofThis(farm, readTreatments(list.text, list.file, day));
}

/** What is brought in is the farm's whose session is on: rows that name another one would cross. */
function ofThis<T extends OfFarm>(
  farm: string | null,
  read: Loaded<Imported<T>>,
): Loaded<Imported<T>> {
  if (!read.ok || farm === null) return read;
  const other = read.value.rows.find((row) => !isOf(row, farm))?.farm ?? null;
  if (other === null) return read;
  const message = `a row names the farm ${other}, and the session that is on is of ${farm}`;
  const remedy = `Take its rows out, or begin a session of ${other}`;
  return { ok: false, errors: [{ file: '', line: 1, column: 1, message, remedy }] };
}

function listed(site: SiteOnDisk, file: string): object {
  const usedBy = site.plans.filter((name) => {
    const plan = readPlan(site, name, []);
    // Exits are not known here: a plan that is wrong in those alone still names its lists.
    return (plan.text ?? '').includes(file);
  });
  return { file, usedBy };
}

async function saveList(
  reply: FastifyReply,
  shared: Desk,
  site: SiteOnDisk,
  list: List,
): Promise<FastifyReply> {
  const { day } = todayIn(site.site.zone, shared.clock.wall());
  if (list.kind === 'weights') {
    const read = readWeights(list.text, list.file, day);
    if (!read.ok) return reply.send({ saved: false, ...said(read.errors) });
    const weights = read.value.rows.map((one) => ({ ...one, day: dayText(one.day) }));
    return hand(reply, shared, { files: [], use: null, weights }, { saved: true, errors: [] });
  }
  if (list.kind === 'tags') {
    const read = ofThis(farmOf(shared), readTags(list.text, list.file));
    if (!read.ok) return reply.send({ saved: false, ...said(read.errors) });
    const rows = read.value.rows.map((row) => ({ ...row, farm: row.farm ?? farmOf(shared) }));
    const text = tagsText(rowsIn(site.dir, list.file), rows);
    return handFiles(reply, shared, site, [{ path: `plans/${list.file}`, text }]);
  }
  const read = ofThis(farmOf(shared), readTreatments(list.text, list.file, day));
  if (!read.ok) return reply.send({ saved: false, ...said(read.errors) });
  const record = readRecord(site.dir);
  if (!record.ok) return refuseErrors(reply, record.errors);
  const rows = read.value.rows.map((row) => ({ ...row, farm: row.farm ?? farmOf(shared) }));
  const text = treatmentsText([...record.value, ...rows]);
  return handFiles(reply, shared, site, [{ path: 'treatments.csv', text }]);
}

/** Files with what the plan in use makes of them; a list that it does not name changes nothing in use. */
export async function handFiles(
  reply: FastifyReply,
  shared: Desk,
  site: SiteOnDisk,
  files: Files,
): Promise<FastifyReply> {
  const exits = exitsOf(shared);
  if (exits === null)
    return refuse(reply, 503, { error: 'no-answer', reason: 'Fank is starting: try again' });
  const use = planInUse(site, site.site.plan, exits, files);
  if (!use.ok) return refuseErrors(reply, use.errors);
  const touches = files.some(
    ({ path }) =>
      !path.startsWith('plans/') || use.value.lists.some(({ file }) => path === `plans/${file}`),
  );
  const change = { files, use: touches ? use.value : null, weights: [] };
  return hand(reply, shared, change, { saved: true, errors: [] });
}
