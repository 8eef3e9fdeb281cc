import type { Command as Commander } from 'commander';
import { setTimeout as sleep } from 'node:timers/promises';
import { formatError } from '../config/errors.ts';
import { loadSiteBoard } from '../config/site-board.ts';
import { say, WrongUse } from './answer.ts';
import { openNamedBoard } from './open-board.ts';

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
      '\nExample: fank release --site ./fank-site\n\nExits 1 where the outputs are not known to be off, or the board is simulated. The stop and the drop-out relay do not need it.',
    )
    .action(async (options: { site: string }) => {
      if (!(await release(options.site))) process.exitCode = 1;
    });
}

/** Opening a board switches all of it off; closing leaves it so. */
async function release(folder: string): Promise<boolean> {
  const loaded = loadSiteBoard(folder);
  if (!loaded.ok) throw new WrongUse(loaded.errors.map(formatError).join('\n'));
  const { name, profile } = loaded.value;
  if (profile.type === 'simulated') {
    say(
      `Board ${name} is simulated: no line was touched. Where relays are wired, name their board in site.yaml.`,
    );
    return false;
  }
  // Nothing is switched on here, so no dead time is waited for.
  const board = openNamedBoard(loaded.value, { inputs: [], deadTimeMs: 0 });
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
