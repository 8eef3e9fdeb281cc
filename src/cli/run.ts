import type { Command as Commander } from 'commander';
import { startClock } from '../adapters/clock/clock.ts';
import { createSimulatedBoard } from '../adapters/relays/simulated.ts';
import { startDaemon } from '../daemon.ts';
import type { Loop } from '../loop.ts';
import { say, WrongUse } from './answer.ts';
import { openSite } from './open-site.ts';
import { sayPage } from './say-page.ts';
import { version } from './version.ts';

export function runCommand(program: Commander): void {
  program
    .command('run')
    .description('The service: weigh head, gate, records and page of a site')
    .option('--site <dir>', 'site folder, made if missing', './fank-site')
    .addHelpText('after', '\nExample: fank run --site ./fank-site')
    .action(async (options: { site: string }) => {
      await run(options.site);
    });
}

async function run(folder: string): Promise<void> {
  const { site, facts } = openSite(folder);
  if (site.boardProfile.type !== 'simulated') {
    throw new WrongUse(
      `The board ${site.site.profiles.board} has no driver. Use the board simulated.`,
    );
  }
  const daemon = await startDaemon({
    site,
    facts,
    version: version(),
    clock: startClock(),
    board: createSimulatedBoard(site.config.inputs),
    page: { host: site.site.page.host, port: site.site.page.port },
    say,
  });
  sayPage(daemon.page);
  const stop = keepTicking(daemon.loop);
  await new Promise<void>((resolve) => {
    process.once('SIGINT', resolve);
    process.once('SIGTERM', resolve);
  });
  stop();
  await daemon.close();
}

/** Runs ticks as they fall due; the loop itself says which came too late. */
function keepTicking(loop: Loop): () => void {
  let timer: NodeJS.Timeout | null = null;
  const turn = (): void => {
    loop.pump();
    timer = setTimeout(turn, loop.untilTick());
  };
  turn();
  return () => {
    if (timer !== null) clearTimeout(timer);
  };
}
