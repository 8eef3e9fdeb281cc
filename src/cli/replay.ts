import { writeFileSync } from 'node:fs';
import type { Command as Commander } from 'commander';
import { configForTrace, defaultConfig } from '../config/defaults.ts';
import { formatError } from '../config/errors.ts';
import { readText } from '../config/files.ts';
import { loadSite } from '../config/load.ts';
import { checkPlan, loadPlan } from '../config/plan.ts';
import type { Config } from '../core/step.ts';
import type { Crossing, TraceHeader } from '../core/trace.ts';
import { formatLine } from '../core/trace-codec.ts';
import { animalLine } from '../replay/animals.ts';
import { play, type Played } from '../replay/play.ts';
import { readTrace, type TraceFile } from '../replay/read.ts';
import { vary } from '../replay/vary.ts';
import { verifyTrace } from '../replay/verify.ts';
import { printJson, say, WrongUse } from './answer.ts';
import { playToTty } from './replay-tty.ts';
import { version } from './version.ts';

interface Options {
  plan?: string;
  site?: string;
  json?: boolean;
  out?: string;
  verify?: boolean;
  vary: string[];
  toTty?: string | true;
}

/** Ticks go on this long past the last record, ms. */
const PAST_MS = 5000;

const EXAMPLES = `
Examples:
  fank replay fault.trace.ndjson --vary plan.lots.0.belowKg=38
  fank replay fault.trace.ndjson --verify                        equal, or the first difference and why
  fank replay fault.trace.ndjson --to-tty ./weigh-head            a weigh head in the workshop`;

export function replayCommand(program: Commander): void {
  program
    .command('replay')
    .description('Run recorded traces through the same decisions, as fast as they go')
    .argument('<trace...>', 'trace files, *.trace.ndjson or gzipped')
    .option('--plan <file>', 'decide by this sort plan (YAML)')
    .option('--site <dir>', 'run on this site instead of the one in the trace')
    .option('--json', 'one JSON line an animal on stdout')
    .option('--out <file>', 'write the whole resulting trace: inputs, outputs and events')
    .option('--verify', 'recompute a recording; exit 1 at the first difference')
    .option('--vary <path=value...>', 'change settings, e.g. plan.lots.0.belowKg=38', [])
    .option('--to-tty [name]', 'play the weigh head’s bytes into a port of its own, at their pace')
    .addHelpText('after', EXAMPLES)
    .action(async (traces: string[], options: Options) => {
      if (options.toTty === undefined) process.exitCode = replay(traces, options);
      else await toTty(traces, options);
    });
}

/** Imitates the weigh head; nothing is decided, so what changes decisions has no place beside it. */
async function toTty(files: string[], options: Options): Promise<void> {
  const { plan, site, json, out, verify, vary: changes, toTty: name } = options;
  const [file] = files;
  const alone = [plan, site, json, out, verify].every((one) => one === undefined);
  if (!alone || changes.length > 0 || files.length !== 1 || file === undefined) {
    throw new WrongUse('--to-tty plays one trace and decides nothing: give it alone.');
  }
  const trace = readTrace(file);
  for (const note of trace.notes) say(note);
  await playToTty(trace, typeof name === 'string' ? name : null);
}

function replay(files: string[], options: Options): number {
  if (options.verify === true && (options.plan !== undefined || options.vary.length > 0)) {
    throw new WrongUse('--verify goes with neither --plan nor --vary: leave them out.');
  }
  if (options.out !== undefined && files.length > 1) {
    throw new WrongUse('--out takes one trace: give one.');
  }
  let answer = 0;
  for (const file of files) {
    const trace = readTrace(file);
    for (const note of trace.notes) say(note);
    const ok = options.verify === true ? verify(trace, options) : show(trace, options);
    if (!ok) answer = 1;
  }
  return answer;
}

/** The configuration to run: the trace's, at its beginning or where it changes, or what is asked for. */
function configFor(trace: TraceFile, options: Options, recorded?: Config): Config {
  const { header } = trace;
  let config = recorded ?? header.config ?? defaultConfig(header);
  if (options.site !== undefined) {
    const site = loadSite(options.site);
    if (!site.ok) throw new WrongUse(site.errors.map(formatError).join('\n'));
    config = configForTrace(site.value.config, header);
  }
  if (options.plan !== undefined) {
    const text = readText(options.plan);
    const exits = Object.keys(config.gate.exits);
    const plan = text.ok ? loadPlan(text.value, options.plan, exits) : text;
    if (!plan.ok) throw new WrongUse(plan.errors.map(formatError).join('\n'));
    config = { ...config, plan: plan.value };
  }
  return config;
}

function show(trace: TraceFile, options: Options): boolean {
  const base = configFor(trace, options);
  const varied = (config: Config): Config => checkedVary(config, options.vary);
  const other = (recorded: Config): Config => configFor(trace, options, recorded);
  const played = play(trace, varied(base), PAST_MS, (recorded) => varied(other(recorded)));
  if (options.out !== undefined) writeFileSync(options.out, resulting(trace, played));
  if (options.json === true) {
    for (const animal of played.animals) printJson(animalLine(trace.file, animal));
    return true;
  }
  for (const animal of played.animals) process.stdout.write(`${inWords(animal)}\n`);
  process.stdout.write(`${trace.file}: ${played.animals.length} animal(s)\n`);
  if (options.vary.length > 0)
    sayChanges(play(trace, base, PAST_MS, other).animals, played.animals);
  return true;
}

/** A plan that could not be saved decides nothing here either. */
function checkedVary(config: Config, changes: readonly string[]): Config {
  let varied = config;
  try {
    varied = vary(config, changes);
  } catch (error) {
    throw new WrongUse(error instanceof Error ? error.message : String(error), { cause: error });
  }
  if (!changes.some((change) => change.startsWith('plan.'))) return varied;
  const { medicine, ...plan } = varied.plan;
  const checked = checkPlan(plan, Object.keys(varied.gate.exits));
  if (checked.ok) return { ...varied, plan: { ...checked.plan, ...(medicine && { medicine }) } };
  const said = checked.problems.map(
    (one) => `--vary plan.${one.path.join('.')}: ${one.message}. ${one.remedy}`,
  );
  throw new WrongUse(said.join('\n'));
}

function inWords(a: Crossing): string {
  const kg = a.recordedKg ?? a.decisionKg;
  const weight = kg === null ? 'no weight' : `${kg.toFixed(2)} kg ± ${a.uncertaintyKg ?? '?'}`;
  const flags = a.flags.length > 0 ? ` [${a.flags.join(', ')}]` : '';
  return `${a.animal}: ${weight}, ${a.lot ?? 'no lot'} → ${a.exit ?? 'unknown'}; ${a.reason ?? 'not decided'}${flags}`;
}

function sayChanges(before: readonly Crossing[], after: readonly Crossing[]): void {
  let changed = 0;
  for (const [i, a] of after.entries()) {
    const b = before[i];
    if (b !== undefined && b.lot === a.lot && b.exit === a.exit) continue;
    changed += 1;
    process.stdout.write(
      `changed: animal ${a.animal}: ${b?.lot ?? 'no lot'} → ${a.lot ?? 'no lot'}\n`,
    );
  }
  process.stdout.write(`${changed} of ${after.length} animal(s) would have gone elsewhere\n`);
}

/** The whole resulting trace; what `step` is never given keeps its place. */
function resulting(trace: TraceFile, played: Played): string {
  const { config, start, produced } = played;
  const { deadTimeMs, leaves } = config.gate;
  const header: TraceHeader = {
    ...trace.header,
    fank: version(),
    config,
    gate: {
      deadTimeMs,
      travelMs: Math.max(...leaves.map((leaf) => leaf.travelMs)),
      maxOnMs: Math.max(...leaves.map((leaf) => leaf.maxOnMs)),
    },
  };
  const lines = [formatLine(header), formatLine({ t: 0, state: start })];
  const kept = trace.records.filter((r) => 'bytes' in r || 'truth' in r);
  let k = 0;
  for (const item of produced) {
    const t = item.kind === 'input' ? item.record.t : item.t;
    for (let one = kept[k]; one !== undefined && one.t <= t; one = kept[k]) {
      lines.push(formatLine(one));
      k += 1;
    }
    if (item.kind === 'input') lines.push(formatLine(item.record));
    else if (item.kind === 'event') lines.push(formatLine({ t, event: item.event }));
    else lines.push(formatLine({ t, output: item.output, on: item.on }));
  }
  for (const one of kept.slice(k)) lines.push(formatLine(one));
  return `${lines.join('\n')}\n`;
}

function verify(trace: TraceFile, { json }: Options): boolean {
  const { header, file } = trace;
  if (header.fank === undefined || header.config === undefined) {
    throw new WrongUse(`${file}:1:1: not a recording by Fank. Replay it without --verify.`);
  }
  const verdict = verifyTrace(trace, header.config, version());
  const { equal, t, recorded, recomputed, why } = verdict;
  if (json === true) printJson({ trace: file, ...verdict });
  if (equal) say(`${file}: equal`);
  else if (t === null) say(`${file}: not equal: ${why ?? ''}`);
  else {
    const what = `recorded ${recorded ?? 'nothing'}, recomputed ${recomputed ?? 'nothing'}`;
    say(`${file}: differs at t ${t}: ${what}. Why: ${why ?? ''}`);
  }
  return equal;
}
