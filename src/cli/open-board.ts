import type { Board } from '../adapters/relays/board.ts';
import { createBoard } from '../adapters/relays/create.ts';
import type { ResolvedSite } from '../config/load.ts';
import { say, WrongUse } from './answer.ts';

/**
 * The board of a site, all of it off.
 * @throws WrongUse where it cannot be used, with the remedy
 */
export function openBoard(site: ResolvedSite): Board {
  const { inputs, gate } = site.config;
  const { deadTimeMs } = gate;
  try {
    return createBoard(site.boardProfile, { inputs, deadTimeMs, port: site.ports.board, say });
  } catch (error) {
    const { message } = error as Error;
    throw new WrongUse(`board ${site.site.profiles.board}: ${message}`, { cause: error });
  }
}
