import type { Command as Commander } from 'commander';
import { setTimeout as sleep } from 'node:timers/promises';
import { say } from './answer.ts';
import { openBoard } from './open-board.ts';
import { openSite } from './open-site.ts';

/** A Modbus board gets so long to say that its relays are off, ms. */
const PATIENCE_MS = 2000;
const LOOK_MS = 20;

export function releaseCommand(program: Commander): void {
  program
    .command('release')
    .description('Switches every output of a site’s board off; for when the service has died')
    .option('--site <dir>', 'site folder', './fank-site')
    .addHelpText(
      'after',
      '\nExample: fank release --site ./fank-site\n\nExits 1 where the outputs are not known to be off. The stop and the drop-out relay do not need it.',
    )
    .action(async (options: { site: string }) => {
      if (!(await release(options.site))) process.exitCode = 1;
    });
}

/** Opening a board switches all of it off; closing leaves it so. */
async function release(folder: string): Promise<boolean> {
  const { site } = openSite(folder);
  const board = openBoard(site);
  let off = board.write({});
  for (let waited = 0; !off && waited < PATIENCE_MS; waited += LOOK_MS) {
    await sleep(LOOK_MS);
    off = board.write({});
  }
  await board.close();
  say(
    off
      ? 'Every output is off.'
      : 'The board did not confirm that its outputs are off: see that the actuators are dead.',
  );
  return off;
}
