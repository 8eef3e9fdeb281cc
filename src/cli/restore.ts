import type { Command } from 'commander';
import { BackupRefused, restore } from '../adapters/records/backup.ts';
import { SiteTaken } from '../adapters/records/lock.ts';

const EXAMPLES = `
Puts the day book, site.yaml, plans and profiles of a backup in place. What was there is kept, in a
folder replaced-<time> of the site. Traces stay as they are. Stop Fank first.

Example:
  fank restore /media/stick/fank-backup-2026-09-12T18-30-00Z --site ./fank-site

Exit code: 0 put back; 1 a Fank runs on that site; 2 that is no sound backup.`;

/** Registers `fank restore`. */
export function restoreCommand(program: Command): void {
  program
    .command('restore')
    .description('put a backup in the place of the day book and the settings')
    .argument('<backup>', 'folder that fank backup made')
    .option('--site <dir>', 'site folder', './fank-site')
    .addHelpText('after', EXAMPLES)
    .action((backup: string, { site }: { site: string }) => {
      process.exitCode = putBack(backup, site);
    });
}

function putBack(backup: string, site: string): number {
  try {
    const { crossings, latestDay, replaced } = restore(backup, site, Date.now());
    process.stdout.write(
      `${site}: ${crossings} crossings, the latest on ${latestDay ?? 'no day'}. ` +
        `What was there before is in ${replaced}.\n`,
    );
    return 0;
  } catch (error) {
    const said = error instanceof Error ? error.message : String(error);
    const untouched = error instanceof SiteTaken || error instanceof BackupRefused;
    process.stderr.write(untouched ? `Nothing was changed. ${said}\n` : `${said}\n`);
    return error instanceof SiteTaken ? 1 : 2;
  }
}
