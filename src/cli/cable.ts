import { Option, type Command } from 'commander';
import { cableLoss, OHM_PER_KM, smallestSize } from '../fitting/cable.ts';
import { printJson, WrongUse } from './answer.ts';

interface Options {
  amps: number;
  metres: number;
  mm2: number;
  celsius: number;
  volts: number;
  json?: boolean;
}

/** The loss that is commonly allowed to an actuator, per cent (common practice, no source). */
const ALLOWED_PERCENT = 5;

export function cableCommand(program: Command): void {
  const number = (flag: string, text: string, least: number, most: number): Option =>
    new Option(flag, text).argParser((value) => {
      const n = Number(value);
      if (value.trim() !== '' && n >= least && n <= most) return n;
      throw new WrongUse(`${flag}: ${value} is not a number from ${least} to ${most}.`);
    });
  program
    .command('cable')
    .description('Voltage lost in the cable to an actuator (copper, class 5, two-way run counted)')
    .addOption(number('--amps <a>', 'current, A', 0, 200).makeOptionMandatory())
    .addOption(number('--metres <m>', 'length one way, m', 0, 500).makeOptionMandatory())
    .addOption(number('--mm2 <s>', 'cross section, mm²', 0, 100).makeOptionMandatory())
    .addOption(number('--celsius <t>', 'of the conductor, °C', -40, 90).default(20))
    .addOption(number('--volts <v>', 'at the battery, V', 1, 60).default(12))
    .option('--json', 'one JSON line on stdout')
    .addHelpText('after', '\nExample: fank cable --amps 6 --metres 8 --mm2 2.5 --celsius 20')
    .action((options: Options) => {
      const loss = cableLoss(options);
      if (loss === null) {
        const sizes = Object.keys(OHM_PER_KM).join(', ');
        throw new WrongUse(`--mm2 ${options.mm2} is not a standard size. Give one of ${sizes}.`);
      }
      if (options.json === true) {
        printJson(loss);
        return;
      }
      const { dropVolts, dropPercent, voltsAtLoad } = loss;
      const size = smallestSize(options, ALLOWED_PERCENT);
      const enough = size === null ? 'no standard size' : `${size} mm²`;
      process.stdout.write(
        `${dropVolts.toFixed(2)} V lost (${dropPercent.toFixed(1)} %), ${voltsAtLoad.toFixed(2)} V at the actuator.\n` +
          `For ${ALLOWED_PERCENT} % or less: ${enough}. The fuse must protect this cable: local code decides.\n`,
      );
    });
}
