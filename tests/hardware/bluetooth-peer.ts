/** The weigh head on the other controller, as a process of its own. */
import { spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { until } from './check.ts';

export interface Head {
  said: string[];
  tell: (line: string) => void;
  /** Ends it as a flat battery does: nothing is said. */
  die: () => Promise<void>;
}

export async function startHead(): Promise<Head> {
  const child = spawn(process.execPath, ['/t/bluetooth-head.mjs', '1'], {
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  const said: string[] = [];
  createInterface({ input: child.stdout }).on('line', (line) => said.push(line));
  const ended = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  if (!(await until(() => said.includes('ready'), 60_000))) throw new Error('the head is not up');
  return {
    said,
    tell: (line) => child.stdin.write(`${line}\n`),
    die: () => {
      child.kill('SIGKILL');
      return ended;
    },
  };
}
