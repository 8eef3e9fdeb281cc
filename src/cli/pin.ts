import { Option, type Command as Commander } from 'commander';
import type { Role } from '../adapters/page/messages.ts';
import { setPin } from '../adapters/page/secrets.ts';
import { printJson, say, WrongUse } from './answer.ts';

interface Options {
  site: string;
  who: Role;
  set?: string;
  json?: true;
}

const EXAMPLES = `
Examples:
  fank pin                                   a new PIN for the operator
  fank pin --who installer                   a new PIN for the installer
  fank pin --who operator --set 246813       a PIN of your own, 4 to 12 digits

The old PIN ends at once, also while Fank runs: whoever signed in with it signs in again.
PINs are kept hashed in secrets.json of the site folder; a forgotten one cannot be read, only replaced.`;

/** Registers `fank pin`. */
export function pinCommand(program: Commander): void {
  program
    .command('pin')
    .description('give the operator or the installer a new PIN for the page')
    .option('--site <dir>', 'site folder, made if missing', './fank-site')
    .addOption(
      new Option('--who <role>', 'whose PIN')
        .choices(['operator', 'installer'])
        .default('operator'),
    )
    .option('--set <digits>', 'this PIN instead of a random one')
    .option('--json', 'only JSON on stdout')
    .addHelpText('after', EXAMPLES)
    .action(async ({ site, who, set, json }: Options) => {
      const made = await setPin(site, who, set).catch((error: unknown) => {
        throw new WrongUse(error instanceof Error ? error.message : String(error));
      });
      if (json === true) {
        printJson(made);
        return;
      }
      for (const [role, pin] of Object.entries(made)) process.stdout.write(`${role}: ${pin}\n`);
      say('Write it down now: it is kept nowhere in clear.');
    });
}
