import { Option, type Command } from 'commander';
import { chargeOf, CUT_OFF_PERCENT, hoursLeft } from '../fitting/battery.ts';
import { OHM_PER_KM } from '../fitting/cable.ts';
import { powerOf } from '../fitting/power.ts';
import { printJson, WrongUse } from './answer.ts';

interface Options {
  amps: number;
  metres: number;
  mm2?: number;
  celsius: number;
  volts: number;
  allow: number;
  json?: boolean;
  restVolts?: number;
  ah?: number;
  idle: number;
  strokes: number;
  seconds: number;
}

const EXAMPLES = `
Examples:
  fank cable --amps 6 --metres 8 --mm2 2.5 --celsius 20
  fank cable --amps 6 --metres 8 --allow 5                the smallest standard size that will do
  fank cable --amps 6 --metres 8 --rest-volts 12.4 --ah 70 --strokes 400

Copper, class 5, two-way run counted. Local electrical codes and licensed practice decide.`;

export function cableCommand(program: Command): void {
  const number = (flag: string, text: string, least: number, most: number): Option =>
    new Option(flag, text).argParser((value) => {
      const n = Number(value);
      if (value.trim() !== '' && n >= least && n <= most) return n;
      throw new WrongUse(`${flag}: ${value} is not a number from ${least} to ${most}.`);
    });
  program
    .command('cable')
    .description('Voltage lost in the cable to an actuator, its size and fuse, and the battery')
    .addOption(number('--amps <a>', 'current, A', 0, 200).makeOptionMandatory())
    .addOption(number('--metres <m>', 'length one way, m', 0, 500).makeOptionMandatory())
    .addOption(
      number('--mm2 <s>', 'cross section, mm²; the smallest that will do if not said', 0, 100),
    )
    .addOption(number('--celsius <t>', 'of the conductor, °C', -40, 90).default(20))
    .addOption(number('--volts <v>', 'at the battery, V', 1, 60).default(12))
    .addOption(number('--allow <p>', 'loss that is allowed, per cent', 0.1, 50).default(5))
    .addOption(number('--rest-volts <v>', 'of the battery after hours of rest, V', 8, 16))
    .addOption(number('--ah <ah>', 'capacity as marked on it, Ah', 1, 1000))
    .addOption(number('--idle <a>', 'what runs all the time, A', 0, 50).default(1))
    .addOption(number('--strokes <n>', 'an hour, of all leaves', 0, 10_000).default(400))
    .addOption(number('--seconds <s>', 'of one stroke', 0.1, 60).default(1))
    .option('--json', 'one JSON line on stdout; one more for the battery')
    .addHelpText('after', EXAMPLES)
    .action((options: Options) => {
      cable(options);
      if (options.restVolts !== undefined) battery(options, options.restVolts);
    });
}

function cable(options: Options): void {
  const { allow, amps, celsius } = options;
  const { smallest: size, mm2, loss, carries, fuse } = powerOf(options);
  if (mm2 === null) {
    throw new WrongUse(
      `No standard size loses ${allow} % or less and can be fused. Shorten the run, or allow more.`,
    );
  }
  if (loss === null) {
    const sizes = Object.keys(OHM_PER_KM)
      .sort((a, b) => Number(a) - Number(b))
      .join(', ');
    throw new WrongUse(`--mm2 ${mm2} is not a standard size. Give one of ${sizes}.`);
  }
  if (options.json === true) {
    printJson(options.mm2 === undefined ? { mm2, ...loss } : loss);
    return;
  }
  const { dropVolts, dropPercent, voltsAtLoad } = loss;
  process.stdout.write(
    `${mm2} mm²: ${dropVolts.toFixed(2)} V lost (${dropPercent.toFixed(1)} %), ${voltsAtLoad.toFixed(2)} V at the actuator.\n` +
      `${fuseWords({ amps, mm2, celsius, carries, fuse })}\n` +
      `For ${allow} % or less, with a fuse that protects it: ${size === null ? 'no standard size' : `${size} mm²`}.\n` +
      'Rough figures for thin PVC cable in free air; less in bundles. Local code decides.\n',
  );
}

function fuseWords(of: {
  amps: number;
  mm2: number;
  celsius: number;
  carries: number | null;
  fuse: number | null;
}): string {
  const { amps, mm2, celsius, carries: carried, fuse } = of;
  if (carried === null) return `What ${mm2} mm² carries is not in the table: see your local code.`;
  const carries = `The cable carries about ${carried.toFixed(0)} A at ${celsius} °C`;
  return fuse === null
    ? `${carries}: no fuse both carries ${amps} A and protects it. Take a larger size.`
    : `${carries}: a fuse of ${fuse} A carries ${amps} A and protects it.`;
}

function battery(options: Options, restVolts: number): void {
  const charge = chargeOf(restVolts);
  const { ah, idle, strokes, seconds, amps } = options;
  const use =
    ah === undefined
      ? null
      : {
          ...{ ampHours: ah, idleAmps: idle, strokesAnHour: strokes },
          ...{ strokeSeconds: seconds, strokeAmps: amps },
        };
  const hours = (percent: number): number | null =>
    use === null ? null : Math.round(hoursLeft(use, percent) * 10) / 10;
  const [middle, least, most] = [charge.percent, charge.from, charge.to].map(hours);
  if (options.json === true) {
    printJson({
      ...charge,
      hours: middle ?? null,
      hoursFrom: least ?? null,
      hoursTo: most ?? null,
    });
    return;
  }
  const { percent, from, to } = charge;
  process.stdout.write(
    `${restVolts} V at rest: about ${percent} % full, between ${from} and ${to} % with a usual meter.\n`,
  );
  if (use === null) return;
  process.stdout.write(
    `Until ${CUT_OFF_PERCENT} %: about ${middle ?? 0} h, between ${least ?? 0} and ${most ?? 0} h, if it still has the capacity on its label.\n`,
  );
}
