import type { Command } from 'commander';
import { checks } from './check-site.ts';
import { printJson } from './answer.ts';

export function checkCommand(program: Command): void {
  program
    .command('check')
    .description('Looks at configuration, ports, clock, disk, day book and supply of a site')
    .option('--site <dir>', 'site folder, made if missing', './fank-site')
    .option('--json', 'one JSON line a check on stdout')
    .addHelpText('after', '\nExample: fank check --site ./fank-site')
    .action(async ({ site, json }: { site: string; json?: boolean }) => {
      let wrong = 0;
      for await (const one of checks(site)) {
        if (one.ok === false) wrong += 1;
        if (json === true) printJson(one);
        else {
          const mark = one.ok === null ? '-' : one.ok ? 'ok' : 'NO';
          const remedy = one.remedy === '' ? '' : ` ${one.remedy}`;
          process.stdout.write(`${mark.padEnd(3)} ${one.check}: ${one.said}.${remedy}\n`);
        }
      }
      process.exitCode = wrong === 0 ? 0 : 1;
    });
}
