import { join } from 'node:path';
import type { Command } from 'commander';
import { BackupRefused, backUp } from '../adapters/records/backup.ts';
import { NoBook } from '../adapters/records/reader.ts';

const EXAMPLES = `
The backup is a folder with the day book, site.yaml, plans and profiles, checked by opening it. It
can be made while Fank runs. On the same card it does not outlive the card: take --to.

Examples:
  fank backup                          into ./fank-site/backups
  fank backup --to /media/stick        onto a memory stick

Exit code: 0 made and checked; 1 the copy was not sound; 2 there is no day book, or it cannot be read.`;

/** Registers `fank backup`. */
export function backupCommand(program: Command): void {
  program
    .command('backup')
    .description('copy the day book and the settings, and check the copy')
    .option('--site <dir>', 'site folder', './fank-site')
    .option('--to <dir>', 'where the backup goes; the folder backups of the site if not said')
    .addHelpText('after', EXAMPLES)
    .action(({ site, to }: { site: string; to?: string }) => {
      process.exitCode = makeBackup(site, to ?? join(site, 'backups'));
    });
}

function makeBackup(site: string, to: string): number {
  try {
    const { path, crossings, latestDay } = backUp(site, to, Date.now());
    process.stdout.write(
      `${path}: ${crossings} crossings, the latest on ${latestDay ?? 'no day'}; checked.\n`,
    );
    return 0;
  } catch (error) {
    const said = error instanceof Error ? error.message : String(error);
    process.stderr.write(error instanceof NoBook ? `${said}\n` : `No backup was made: ${said}\n`);
    return error instanceof BackupRefused ? 1 : 2;
  }
}
