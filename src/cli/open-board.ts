import type { Board } from '../adapters/relays/board.ts';
import { createBoard, type BoardOptions } from '../adapters/relays/create.ts';
import type { ResolvedSite } from '../config/load.ts';
import type { SiteBoard } from '../config/site-board.ts';
import { say, WrongUse } from './answer.ts';

/**
 * The board of a site, all of it off.
 * @throws WrongUse where it cannot be used, with the remedy
 */
export function openBoard(site: ResolvedSite): Board {
  const { boardProfile: profile, ports, config } = site;
  const { inputs, gate } = config;
  const { deadTimeMs } = gate;
  const board = { name: site.site.profiles.board, profile, port: ports.board };
  return openNamedBoard(board, { inputs, deadTimeMs });
}

/** The same of a board by itself. */
export function openNamedBoard(
  { name, profile, port }: SiteBoard,
  given: Pick<BoardOptions, 'inputs' | 'deadTimeMs'>,
): Board {
  try {
    return createBoard(profile, { ...given, port, say });
  } catch (error) {
    const { message } = error as Error;
    throw new WrongUse(`board ${name}: ${message}`, { cause: error });
  }
}
