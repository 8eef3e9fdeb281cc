import { Command, CommanderError } from 'commander';
import { say } from './answer.ts';
import { bookCommand } from './book.ts';
import { backupCommand } from './backup.ts';
import { restoreCommand } from './restore.ts';
import { cableCommand } from './cable.ts';
import { checkCommand } from './check.ts';
import { demoCommand } from './demo.ts';
import { listenCommand } from './listen.ts';
import { pinCommand } from './pin.ts';
import { profileCommand } from './profile.ts';
import { releaseCommand } from './release.ts';
import { replayCommand } from './replay.ts';
import { runCommand } from './run.ts';
import { version } from './version.ts';

const program = new Command('fank');
program
  .description('Weighs lambs in a race, decides each one’s exit and moves the gate safely')
  .version(version())
  .exitOverride();
const commands = [
  runCommand,
  demoCommand,
  replayCommand,
  bookCommand,
  backupCommand,
  restoreCommand,
  checkCommand,
  cableCommand,
  pinCommand,
  profileCommand,
  listenCommand,
  releaseCommand,
];
for (const register of commands) register(program);
for (const command of program.commands) command.exitOverride();

// A reader that has seen enough (`| head`) is no fault of ours.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
  process.exit();
});

try {
  await program.parseAsync();
} catch (error) {
  if (error instanceof CommanderError) process.exitCode = error.exitCode === 0 ? 0 : 2;
  else {
    say(error instanceof Error ? error.message : String(error));
    process.exitCode = 2;
  }
}
