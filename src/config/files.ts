import {
  closeSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readFileSync,
  renameSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';
import type { ConfigError, Loaded } from './errors.ts';

/** Reads a UTF-8 text file; a file that is not there or not text is an error in a value. */
export function readText(file: string): Loaded<string> {
  let bytes: Buffer;
  try {
    bytes = readFileSync(file);
  } catch (error) {
    return { ok: false, errors: [unreadable(file, error)] };
  }
  try {
    return { ok: true, value: new TextDecoder('utf-8', { fatal: true }).decode(bytes) };
  } catch {
    const before = bytes.toString('utf8').split('\uFFFD')[0] ?? '';
    const lines = before.split('\n');
    const error: ConfigError = {
      file,
      line: lines.length,
      column: (lines.at(-1) ?? '').length + 1,
      message: 'this is not UTF-8 text',
      remedy: 'Save the file as UTF-8',
    };
    return { ok: false, errors: [error] };
  }
}

function unreadable(file: string, error: unknown): ConfigError {
  const code = (error as NodeJS.ErrnoException).code ?? 'error';
  const [message, remedy] = {
    ENOENT: ['the file is not there', 'Put it back or name another'] as const,
    EACCES: [
      'the file may not be read',
      'Give the user that Fank runs as the right to read it',
    ] as const,
    EISDIR: ['this is a folder, not a file', 'Name a file'] as const,
  }[code] ?? [`the file cannot be read (${code})`, 'Check the card and the path'];
  return { file, line: 1, column: 1, message, remedy };
}

/**
 * Replaces a file so that after a power cut either the old or the new text is there, whole: written
 * beside it, synced, renamed. `mode`: its rights, less the umask. Throws the system's error (full,
 * write-protected) and leaves the old.
 */
export function replaceFile(file: string, text: string, mode = 0o666): void {
  const beside = `${file}.new`;
  mkdirSync(dirname(file), { recursive: true });
  const handle = openSync(beside, 'w', mode);
  try {
    // It writes on where a call took only a part, as on a card that fills up, until there is an error.
    writeFileSync(handle, text);
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
  renameSync(beside, file);
  const folder = openSync(dirname(file), 'r');
  try {
    fsyncSync(folder);
  } finally {
    closeSync(folder);
  }
}
