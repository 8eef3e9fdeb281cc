import { Command, CommanderError } from 'commander';
import { say } from './answer.ts';
import { registerDemo } from './demo.ts';
import { registerReplay } from './replay.ts';
import { version } from './version.ts';

const program = new Command('fank');
program
  .description('Weighs lambs in a race, decides each one’s exit and moves the gate safely')
  .version(version())
  .exitOverride()
  .configureHelp({ showGlobalOptions: true });
registerDemo(program);
registerReplay(program);

try {
  await program.parseAsync();
} catch (error) {
  if (error instanceof CommanderError) process.exitCode = error.exitCode === 0 ? 0 : 2;
  else {
    say(error instanceof Error ? error.message : String(error));
    process.exitCode = 2;
  }
}
