import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Option, type Command as Commander } from 'commander';
import { createDemo, type DemoOptions } from './demo-run.ts';
import { openSite } from './open-site.ts';
import { printJson, say, WrongUse } from './answer.ts';

interface Options {
  site?: string;
  animals: number;
  exit?: boolean;
  seed: number;
  pace: number;
  port?: number;
  json?: boolean;
}

export function demoCommand(program: Commander): void {
  program
    .command('demo')
    .description('The whole path on a simulated race: a weigh head on a real tty, simulated relays')
    .option('--site <dir>', 'keep the records in this site folder')
    .addOption(
      new Option('--animals <n>', 'lambs in the mob').default(50).argParser(whole(1, 100000)),
    )
    .option('--exit', 'press start, end when all have passed, print one JSON line')
    .addOption(new Option('--seed <s>', 'of the lambs').default(1).argParser(whole(0, 2 ** 31)))
    .addOption(new Option('--pace <p>', 'times as fast, 1 to 20').default(1).argParser(pace))
    .addOption(
      new Option(
        '--port <n>',
        'of the page; 0: any free one; with --exit only where it is given',
      ).argParser(whole(0, 65535)),
    )
    .option('--json', 'only JSON lines on stdout')
    .addHelpText('after', '\nExample: fank demo --exit --animals 20 --pace 10 --seed 1')
    .action(async (options: Options) => {
      process.exitCode = await demo(options);
    });
}

async function demo(options: Options): Promise<number> {
  const folder = options.site ?? mkdtempSync(join(tmpdir(), 'fank-demo-'));
  try {
    const { site, facts } = openSite(folder, { board: 'simulated' });
    const set: DemoOptions = {
      site,
      facts,
      animals: options.animals,
      seed: options.seed,
      pace: options.pace,
      attended: options.exit === true,
      page: pageOf(options),
      say,
    };
    const summary = await (await createDemo(set)).finished;
    printJson(summary);
    return summary.missed === 0 ? 0 : 1;
  } finally {
    if (options.site === undefined) rmSync(folder, { recursive: true, force: true });
  }
}

/** A demo that ends by itself serves no page unless a port is asked for. */
function pageOf(options: Options): DemoOptions['page'] {
  if (options.exit === true && options.port === undefined) return null;
  return { host: '0.0.0.0', port: options.port ?? 8080 };
}

function whole(least: number, most: number): (text: string) => number {
  return (text) => {
    const value = Number(text);
    if (Number.isInteger(value) && value >= least && value <= most) return value;
    throw new WrongUse(`${text} is not a whole number from ${least} to ${most}.`);
  };
}

function pace(text: string): number {
  const value = Number(text);
  if (value >= 1 && value <= 20) return value;
  throw new WrongUse(`--pace ${text}: give 1 to 20.`);
}
