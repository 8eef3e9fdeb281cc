import { InvalidArgumentError, type Command } from 'commander';
import { printJson, WrongUse } from './answer.ts';
import type { Check } from './check-line.ts';
import { checks } from './check-site.ts';
import { traceChecks } from './check-trace.ts';

interface Options {
  site: string;
  json?: true;
  trace?: string[];
  knownKg?: number;
}

const EXAMPLES = `
Each line says what was looked at, what was seen and what to do: ok, NO, or - for what cannot be seen
here or now. Ports and lines that are opened are let go again; what the running service holds is left
alone, and its last trace is looked at instead. Exit 1 where something is not as it should be.

Examples:
  fank check --site ./fank-site
  fank check --trace fault.trace.ndjson              what a trace tells of crate, line, gate and battery
  fank check --trace zero.trace.ndjson --known-kg 20  a mass of 20 kg stood on the crate meanwhile`;

export function checkCommand(program: Command): void {
  program
    .command('check')
    .description('Looks at a site, its machine and its wiring, or at what a trace shows')
    .option('--site <dir>', 'site folder, made if missing', './fank-site')
    .option('--trace <file...>', 'diagnose these traces instead of a site')
    .option('--known-kg <kg>', 'a mass that stood on the crate during the trace', toKg)
    .option('--json', 'one JSON line a check on stdout')
    .addHelpText('after', EXAMPLES)
    .action(async (options: Options) => {
      let wrong = 0;
      for await (const one of options.trace === undefined ? ofSite(options) : ofTraces(options)) {
        if (one.ok === false) wrong += 1;
        show(one, options.json === true);
      }
      process.exitCode = wrong === 0 ? 0 : 1;
    });
}

function toKg(text: string): number {
  const kg = Number(text);
  if (!(kg > 0)) throw new InvalidArgumentError('Write kilograms, such as 20.');
  return kg;
}

function ofSite({ site, knownKg }: Options): AsyncGenerator<Check> {
  if (knownKg !== undefined) throw new WrongUse('--known-kg goes with --trace: name the trace.');
  return checks(site);
}

function ofTraces({ trace = [], knownKg }: Options): Check[] {
  return trace.flatMap((file) => traceChecks(file, knownKg ?? null));
}

function show(one: Check, json: boolean): void {
  if (json) {
    printJson(one);
    return;
  }
  const mark = one.ok === null ? '-' : one.ok ? 'ok' : 'NO';
  const said = one.said.replace(/[.]$/, '');
  // What is wrong in a file carries its remedy already.
  const remedy = said.includes(one.remedy) ? '' : ` ${one.remedy}`;
  process.stdout.write(`${mark.padEnd(3)} ${one.check}: ${said}.${remedy}\n`);
}
