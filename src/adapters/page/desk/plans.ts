/** Plans: pick, copy, edit, what would change, use. Read here; written by who has the folder. */
import type { FastifyInstance, FastifyReply } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { changedPlanText, planFileName } from '../../../config/plan-file.ts';
import { checkPlan, newPlan, planText, planVersion } from '../../../config/plan.ts';
import type { PlanInUse } from '../../../config/site-change.ts';
import type { Plan } from '../../../core/sortplan/plan.ts';
import type { Shared } from '../app.ts';
import { refuse } from '../guard.ts';
import { exitsOf, hand, inTurn, refuseErrors } from './answers.ts';
import { farmOf } from './lists.ts';
import { planInUse, readPlan, readSite, siteText, type Files, type SiteOnDisk } from './site.ts';
import { sureLines, whatIf } from './what-if.ts';

const planName = z.string().regex(/^[A-Za-z0-9][A-Za-z0-9._-]{0,59}$/);
const past = { day: z.iso.date().optional(), session: z.string().max(100).optional() };
const named = z.strictObject({ name: planName });
const checkBody = z.strictObject({ name: planName.nullable(), plan: z.unknown(), ...past });
const saveBody = z.strictObject({ name: planName.nullable(), plan: z.unknown(), use: z.boolean() });

/** Bytes of a plan with all that a page may send beside it. */
const PLAN_BYTES = 64 * 1024;
/** Days offered for trying a plan on. */
const PAST_DAYS = 30;

const OPERATE = { config: { access: 'operator' }, bodyLimit: PLAN_BYTES } as const;
const LOOK = { config: { access: 'look' } } as const;

type Desk = Shared & { siteDir: string };

/** The site with the gate's exits, or a refusal that has been sent. */
function open(
  reply: FastifyReply,
  shared: Desk,
): { site: SiteOnDisk; exits: string[] } | FastifyReply {
  const exits = exitsOf(shared);
  if (exits === null)
    return refuse(reply, 503, { error: 'no-answer', reason: 'Fank is starting: try again' });
  const site = readSite(shared.siteDir);
  return site.ok ? { site: site.value, exits } : refuseErrors(reply, site.errors);
}

// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function planRoutes(plain: FastifyInstance, shared: Desk): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  lookingRoutes(app, shared);

  app.post(
    '/api/plans/check',
    { ...OPERATE, schema: { body: checkBody } },
    async (request, reply) => {
      const found = open(reply, shared);
      if (!('site' in found)) return found;
      const { name, plan, day, session } = request.body;
      const checked = checkPlan(plan, found.exits);
      if (!checked.ok) return reply.send({ problems: checked.problems, whatIf: null });
      const before = name === null ? null : readPlan(found.site, name, found.exits);
      const lines = await pastLines(shared, day ?? null, session ?? null);
      const compared = whatIf(before?.ok === true ? before.value : null, checked.plan, lines);
      return reply.send({ problems: [], whatIf: lines.length === 0 ? null : compared });
    },
  );

  app.post('/api/plans/save', { ...OPERATE, schema: { body: saveBody } }, (request, reply) =>
    inTurn(async () => {
      const found = open(reply, shared);
      if (!('site' in found)) return found;
      const { site, exits } = found;
      const checked = checkPlan(request.body.plan, exits);
      if (!checked.ok) return reply.send({ saved: false, problems: checked.problems });
      const name = request.body.name ?? planFileName(checked.plan.name, site.plans);
      const files = [
        { path: `plans/${name}.yaml`, text: newText(site, name, exits, checked.plan) },
      ];
      const inUse = request.body.use || name === site.site.plan;
      return handPlan(reply, shared, { site, exits, name, files, inUse });
    }),
  );

  app.post('/api/plans/use', { ...OPERATE, schema: { body: named } }, (request, reply) =>
    inTurn(async () => {
      const found = open(reply, shared);
      if (!('site' in found)) return found;
      const { name } = request.body;
      if (!found.site.plans.includes(name))
        return refuse(reply, 404, { error: 'not-found', reason: `There is no plan ${name}` });
      return handPlan(reply, shared, { ...found, name, files: [], inUse: true });
    }),
  );
}

function lookingRoutes(plain: FastifyInstance, shared: Desk): void {
  const app = plain.withTypeProvider<ZodTypeProvider>();

  app.get('/api/plans', LOOK, (_request, reply) => {
    const found = open(reply, shared);
    if (!('site' in found)) return found;
    const { site, exits } = found;
    const plans = site.plans.map((name) => {
      const read = readPlan(site, name, exits);
      if (read.ok) return { name, title: read.value.name, problem: null };
      const [first] = read.errors;
      return {
        name,
        title: name,
        problem: first === undefined ? '' : `${String(first.line)}: ${first.message}`,
      };
    });
    return reply.send({ active: site.site.plan, exits, plans, fresh: newPlan(exits) });
  });

  app.get('/api/plans/:name', { ...LOOK, schema: { params: named } }, (request, reply) => {
    const found = open(reply, shared);
    if (!('site' in found)) return found;
    const read = readPlan(found.site, request.params.name, found.exits);
    if (!read.ok) return refuseErrors(reply, read.errors);
    return reply.send({ plan: read.value, version: planVersion(read.value) });
  });

  app.get(
    '/api/past',
    { ...LOOK, schema: { querystring: z.object(past) } },
    async (request, reply) => {
      const { day } = request.query;
      return reply.header('cache-control', 'no-store').send(await pastWeights(shared, day ?? null));
    },
  );
}

/** The text of a plan's file: an old one keeps what a person wrote beside the settings. */
function newText(site: SiteOnDisk, name: string, exits: string[], plan: Plan): string {
  const before = site.plans.includes(name) ? readPlan(site, name, exits) : null;
  if (before?.ok !== true || before.text === undefined) return planText(plan);
  const changed = changedPlanText(before.text, name, before.value, plan);
  return changed.ok ? changed.value : planText(plan);
}

interface Handed {
  site: SiteOnDisk;
  exits: string[];
  name: string;
  files: Files;
  inUse: boolean;
}

async function handPlan(reply: FastifyReply, shared: Desk, given: Handed): Promise<FastifyReply> {
  const { site, exits, name, inUse } = given;
  const files = [...given.files];
  let use: PlanInUse | null = null;
  if (inUse) {
    if (name !== site.site.plan) {
      const text = siteText(site, name);
      if (!text.ok) return refuseErrors(reply, text.errors);
      files.push({ path: 'site.yaml', text: text.value });
    }
    const resolved = planInUse(site, name, exits, files);
    if (!resolved.ok) return refuseErrors(reply, resolved.errors);
    use = resolved.value;
  }
  return hand(reply, shared, { files, use, weights: [] }, { saved: true, name, problems: [] });
}

/**
 * Weights of a past day of the farm whose session is on: by session, kg in the order of letting go, and
 * the days that there are.
 */
async function pastWeights(shared: Desk, day: string | null): Promise<object> {
  const nothing = { days: [], day: null, sessions: [] };
  const book = await shared.book().catch(() => null);
  if (book === null) return nothing;
  const farm = farmOf(shared);
  const days = book
    .days()
    .filter((one) => farm === null || one.farms.includes(farm))
    .map((one) => one.day);
  const shown = day ?? days[0] ?? null;
  if (shown === null) return nothing;
  const sessions = new Map<string, { session: string; from: string; kg: number[] }>();
  for (const { session, time, kg } of sureLines(book.lines(shown, farm))) {
    const one = sessions.get(session) ?? { session, from: time, kg: [] };
    if (kg !== null) one.kg.push(kg);
    sessions.set(session, one);
  }
  return { days: days.slice(0, PAST_DAYS), day: shown, sessions: [...sessions.values()] };
}

async function pastLines(shared: Desk, day: string | null, session: string | null) {
  if (day === null) return [];
  const book = await shared.book().catch(() => null);
  const lines = book?.lines(day, farmOf(shared)) ?? [];
  return lines.filter((line) => session === null || line.session === session);
}
