import { BookRefused } from './schema.ts';
import { SiteTaken } from './lock.ts';

/** True where trying again cannot help: the daemon must not run on this site folder. */
export function isRefusal(error: unknown): error is Error {
  return error instanceof SiteTaken || error instanceof BookRefused;
}

const WORDS: readonly (readonly [RegExp, string, string])[] = [
  [
    /^(ENOSPC|EDQUOT|SQLITE_FULL)/,
    'the card is full',
    'Free some space (old traces, other files); saving carries on by itself.',
  ],
  [
    /^(EROFS|SQLITE_READONLY)/,
    'the card is read-only',
    'A card that fails often turns read-only: copy the site folder off and replace the card.',
  ],
  [
    /^(EACCES|EPERM|SQLITE_PERM|SQLITE_CANTOPEN|SQLITE_AUTH)/,
    'it may not be opened for writing',
    'Check that the site folder belongs to the user whom Fank runs as.',
  ],
  [
    /^(SQLITE_CORRUPT|SQLITE_NOTADB)/,
    'the day book is damaged',
    'Stop, keep a copy of the site folder, then: fank restore',
  ],
  [
    /^(EIO|SQLITE_IOERR)/,
    'the card does not answer as it should',
    'Copy the site folder off and replace the card.',
  ],
  [
    /^(SQLITE_BUSY|SQLITE_LOCKED)/,
    'another program keeps it locked',
    'Close other programs that have fank.db open.',
  ],
  [
    /^ENOENT/,
    'it is not there any more',
    'Put the site folder back (a card or stick pulled out?), or restart Fank.',
  ],
];

/** What happened, where, and what to do, for a file that could not be written. */
export function inWords(error: unknown, where: string): string {
  const { code = '' } = error as { code?: string };
  const said = error instanceof Error ? error.message : String(error);
  const [, what, remedy] = WORDS.find(([pattern]) => pattern.test(code)) ?? [
    null,
    'it failed',
    'Fank tries again by itself; if this stays, restart it.',
  ];
  return `Records not being saved: ${where} could not be written, ${what} (${said}). ${remedy}`;
}
