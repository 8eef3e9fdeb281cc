/** Reads a trace line by line without ever holding it whole, so that the page goes on meanwhile. */
import { createReadStream } from 'node:fs';
import { lstat } from 'node:fs/promises';
import { pipeline } from 'node:stream/promises';
import { createGunzip } from 'node:zlib';
import { NoTrace } from './contracts.ts';

/** What a trace may come to: an hour is some MB. Anything larger is no trace of ours. */
const MOST = { packedBytes: 64e6, bytes: 256e6, lineBytes: 1e6, lines: 1_000_000 };

/**
 * Gives every whole line of a plain or gzipped file to `take`; a cut-off last line is left out.
 *
 * @throws {NoTrace} where the file is larger than a trace can be, however small it is packed.
 */
export async function readLines(
  path: string,
  take: (line: string) => void,
  signal: AbortSignal,
): Promise<void> {
  const { size } = await lstat(path);
  if (size > MOST.packedBytes) throw tooLarge('the file');
  const gather = gatherer(take);
  let refused: unknown = null;
  const sink = async (source: AsyncIterable<Buffer>): Promise<void> => {
    try {
      for await (const chunk of source) gather(chunk);
    } catch (error) {
      refused = error;
      throw error;
    }
  };
  const file = createReadStream(path);
  try {
    if (path.endsWith('.gz')) await pipeline(file, createGunzip(), sink, { signal });
    else await pipeline(file, sink, { signal });
  } catch (error) {
    // What ended it, and not that the others of the pipeline ended with it.
    throw refused ?? signal.reason ?? error;
  }
}

/** Cuts what comes into lines; bounded in all that it counts. */
function gatherer(take: (line: string) => void): (chunk: Buffer) => void {
  let [bytes, lines] = [0, 0];
  let parts: Buffer[] = [];
  let held = 0;
  return (chunk) => {
    bytes += chunk.length;
    if (bytes > MOST.bytes) throw tooLarge('what it unpacks to');
    let from = 0;
    for (let at = chunk.indexOf(10); at >= 0; at = chunk.indexOf(10, from)) {
      parts.push(chunk.subarray(from, at));
      if (held + at - from > MOST.lineBytes) throw tooLarge('a line of it');
      lines += 1;
      if (lines > MOST.lines) throw tooLarge('the number of its lines');
      take(Buffer.concat(parts).toString('utf8'));
      [parts, held, from] = [[], 0, at + 1];
    }
    held += chunk.length - from;
    if (held > MOST.lineBytes) throw tooLarge('a line of it');
    if (from < chunk.length) parts.push(chunk.subarray(from));
  };
}

function tooLarge(what: string): NoTrace {
  return new NoTrace(`This is no trace that Fank wrote: ${what} is too large. It was not read.`);
}
