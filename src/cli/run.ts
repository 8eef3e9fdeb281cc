import type { Command as Commander } from 'commander';
import { startClock } from '../adapters/clock/clock.ts';
import { serviceManager, type ServiceManager } from '../adapters/system/notify.ts';
import { startDaemon } from '../daemon.ts';
import type { Loop } from '../loop.ts';
import { say } from './answer.ts';
import { openBoard } from './open-board.ts';
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
  const manager = serviceManager(process.env, process.pid);
  const board = openBoard(site);
  const daemon = await startDaemon({
    site,
    facts,
    version: version(),
    clock: startClock(),
    board,
    page: { host: site.site.page.host, port: site.site.page.port },
    say,
  }).catch(async (error: unknown) => {
    await board.close();
    throw error;
  });
  sayPage(daemon.page);
  const stop = keepTicking(daemon.loop, manager);
  manager?.ready(`plan ${site.config.plan.name}, waits for a person to start`);
  await new Promise<void>((resolve) => {
    process.once('SIGINT', resolve);
    process.once('SIGTERM', resolve);
    process.once('SIGHUP', resolve);
  });
  manager?.stopping();
  stop();
  await daemon.close();
}

/** Runs ticks as they fall due; a tick that came too late does not feed the watchdog. */
export function keepTicking(
  loop: Pick<Loop, 'counts' | 'pump' | 'untilTick'>,
  manager: ServiceManager | null,
): () => void {
  let timer: NodeJS.Timeout | null = null;
  const turn = (): void => {
    const before = loop.counts.ticks;
    loop.pump();
    if (loop.counts.ticks > before) manager?.ticked(performance.now());
    timer = setTimeout(turn, loop.untilTick());
  };
  turn();
  return () => {
    if (timer !== null) clearTimeout(timer);
  };
}
