import { Command, CommanderError } from 'commander';
import { say } from './answer.ts';
import { version } from './version.ts';

type Register = (program: Command) => void;

/** Each command's module is loaded when it is asked for: on a Pi reading them all costs seconds. */
const commands: Record<string, () => Promise<Register>> = {
  run: async () => (await import('./run.ts')).runCommand,
  demo: async () => (await import('./demo.ts')).demoCommand,
  replay: async () => (await import('./replay.ts')).replayCommand,
  book: async () => (await import('./book.ts')).bookCommand,
  backup: async () => (await import('./backup.ts')).backupCommand,
  restore: async () => (await import('./restore.ts')).restoreCommand,
  check: async () => (await import('./check.ts')).checkCommand,
  cable: async () => (await import('./cable.ts')).cableCommand,
  pin: async () => (await import('./pin.ts')).pinCommand,
  profile: async () => (await import('./profile.ts')).profileCommand,
  listen: async () => (await import('./listen.ts')).listenCommand,
  bundle: async () => (await import('./bundle.ts')).bundleCommand,
  release: async () => (await import('./release.ts')).releaseCommand,
};

const program = new Command('fank');
program
  .description('Weighs lambs in a race, decides each one’s exit and moves the gate safely')
  .version(version())
  .exitOverride();
const asked = commands[process.argv[2] ?? ''];
for (const load of asked === undefined ? Object.values(commands) : [asked]) (await load())(program);
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
