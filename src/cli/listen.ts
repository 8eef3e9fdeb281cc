import { writeFileSync } from 'node:fs';
import { createInterface } from 'node:readline/promises';
import type { Command } from 'commander';
import { portWarning } from '../adapters/port-names.ts';
import { listenOn } from '../adapters/scan/listen.ts';
import { unescaped } from '../config/frames/unescaped.ts';
import { shippedScales } from '../config/profiles.ts';
import { createHearing, lastHeard, type Hearing, type LastHeard } from '../listen/hearing.ts';
import { isEnough, type Finding, type InferOptions } from '../listen/infer.ts';
import { printJson, say } from './answer.ts';

interface Options {
  json?: true;
  seconds: string;
  known?: string;
  poll?: string;
  every: string;
  out?: string;
}

const EXAMPLES = `
Examples:
  fank listen /dev/serial/by-id/usb-… --out site/profiles/my-head.yaml
  fank listen /dev/ttyS0 --known 20      a weight of 20 kg lies on the crate
  fank listen /dev/ttyS0 --poll 'W\\r'    for a head that must be asked
  fank listen /dev/ttyS0 --json          the last line is what was found

Nothing is sent unless --poll says what. Let something be put on and taken off meanwhile. It ends
early once all is sure. On a terminal it then asks for a known weight and confirms with it.
Exit code: 0 sure; 1 not sure (the reasons and what to try next are printed); 2 wrong use.`;

/** The person at the terminal; gives the kilograms that were put on, null where they leave it. */
export type AskWeight = () => Promise<number | null>;

/**
 * Registers `fank listen`.
 *
 * @param askWeight asks the person; null where nobody can be asked
 */
export function listenCommand(
  program: Command,
  askWeight: AskWeight | null = process.stdin.isTTY ? askAtTerminal : null,
): void {
  program
    .command('listen')
    .description('find out what a weigh head sends: speed, framing, frame, weight; write a profile')
    .argument('<port>', 'serial port, such as /dev/serial/by-id/…')
    .option('--json', 'JSON lines: evidence, then what was found')
    .option('--seconds <n>', 'how long to listen', '10')
    .option('--known <kg>', 'a known weight that is put on, to confirm with')
    .option('--poll <text>', 'send this to ask for a reading (\\r, \\n and \\xNN are understood)')
    .option('--every <ms>', 'from one question to the next', '200')
    .option('--out <file>', 'write the profile there')
    .addHelpText('after', EXAMPLES)
    .action(async (port: string, options: Options) => {
      process.exitCode = await run(port, options, askWeight);
    });
}

async function run(port: string, options: Options, askWeight: AskWeight | null): Promise<number> {
  const seconds = Number(options.seconds);
  const everyMs = Number(options.every);
  const knownKg = options.known === undefined ? null : Number(options.known);
  if (!(seconds > 0 && seconds <= 3600)) return misused('--seconds', options.seconds);
  if (!(everyMs >= 20 && everyMs <= 60_000)) return misused('--every', options.every);
  if (knownKg !== null && !(knownKg > 0)) return misused('--known', options.known);
  const ask = options.poll === undefined ? null : { send: unescaped(options.poll), everyMs };
  const infers: InferOptions = { known: shippedScales(), knownKg, ask };
  const warning = await portWarning(port);
  if (warning !== null) say(warning);
  if (knownKg !== null) say(`Put ${knownKg} kg on the crate now, and let it lie.`);
  else say('Let something be put on and taken off meanwhile; a known weight is best (--known).');
  const hearing = createHearing();
  const quiet = options.json ?? false;
  const asks = quiet || knownKg !== null ? null : askWeight;
  try {
    await listen(port, seconds, hearing, infers);
    let finding = hearing.finding(infers);
    const put = asks === null || finding.profile === null ? null : await asks();
    if (put !== null) {
      infers.knownKg = put;
      hearing.again();
      await listen(port, CONFIRM_S, hearing, infers);
      finding = hearing.finding(infers);
    }
    return report(finding, infers.knownKg, options);
  } catch (error) {
    say(error instanceof Error ? error.message : String(error));
    return 2;
  }
}

function misused(option: string, value: string | undefined): number {
  say(`${option} ${value ?? ''} is no sensible number. See: fank listen --help`);
  return 2;
}

/** How long the known weight may take to come to rest. */
const CONFIRM_S = 15;

async function listen(
  path: string,
  seconds: number,
  hearing: Hearing,
  infers: InferOptions,
): Promise<void> {
  let lookedAt = 0;
  await listenOn({
    path,
    seconds,
    scan: hearing.scan,
    now: () => Math.round(performance.now()),
    ask: infers.ask,
    onTurn: (t) => {
      if (t - lookedAt < LOOK_MS || hearing.scan.found().text.length === 0) return false;
      lookedAt = t;
      const finding = hearing.finding(infers);
      show(lastHeard(hearing.scan.found().text, finding));
      return isEnough(finding, infers.knownKg);
    },
    onOpening: ({ baud, framing }) => say(`listening at ${baud} ${framing}`),
  });
}

const LOOK_MS = 1000;

/** For a person: the raw bytes that came last, and what they read as so far. */
function show({ raw, kg, motion }: LastHeard): void {
  const mark = motion === null ? '' : motion ? ' in motion' : ' steady';
  say(`  ${`"${raw}"`.padEnd(34)} ${kg === null ? '-' : `${kg} kg`}${mark}`);
}

async function askAtTerminal(): Promise<number | null> {
  const lines = createInterface({ input: process.stdin, output: process.stderr });
  try {
    const answer = await lines.question(
      'Put a known weight on the crate, then type its kilograms (Enter leaves it): ',
    );
    const kg = Number(answer.trim().replace(',', '.'));
    return kg > 0 ? kg : null;
  } finally {
    lines.close();
  }
}

function report(finding: Finding, knownKg: number | null, options: Options): number {
  const { sure, baud, framing, periodMs, unit, kg, motion, profile, evidence, doubts } = finding;
  if (options.json) {
    for (const text of evidence) printJson({ evidence: text });
    for (const text of doubts) printJson({ doubt: text });
    printJson({ sure, baud, framing, periodMs, unit, kg, motion, profile });
  } else {
    for (const text of evidence) say(`  ${text}`);
    for (const text of doubts) say(`  not sure: ${text}`);
    say(sure ? `Sure. The last steady weight was ${kg ?? '-'} kg.` : 'Not sure yet.');
    if (sure && knownKg !== null) say(`Confirmed with the ${knownKg} kg that were put on.`);
    if (sure && knownKg === null)
      say('Confirm it: put a known weight on and run this again with --known and its kilograms.');
    if (profile !== null && options.out === undefined) process.stdout.write(profile);
  }
  if (options.out !== undefined && profile !== null) {
    writeFileSync(options.out, profile);
    say(`Profile written to ${options.out}; check it with: fank profile ${options.out}`);
  }
  return sure ? 0 : 1;
}
