/** How a command ends: 0 done, 1 ran and the answer is no, 2 wrong use or unreadable input. */
export class WrongUse extends Error {}

/** Words for people go to stderr, so that `--json` leaves only JSON lines on stdout. */
export function say(text: string): void {
  process.stderr.write(`${text}\n`);
}

export function printJson(value: unknown): void {
  process.stdout.write(`${JSON.stringify(value)}\n`);
}
