/** Runs inside the virtual machine: the GPIO driver and the loop against a real kernel. */
import { tryBeats } from './beats.ts';
import { end } from './check.ts';
import { tryDeaths } from './deaths.ts';
import { tryFreezes } from './freezes.ts';
import { tryLines } from './lines.ts';

const parts = { lines: tryLines, deaths: tryDeaths, freezes: tryFreezes, beats: tryBeats };
const chosen = process.argv.slice(2);
for (const [name, attempt] of Object.entries(parts)) {
  if (chosen.length === 0 || chosen.includes(name)) await attempt();
}
end();
