/** Runs inside the virtual machine: the GPIO driver and the loop against a real kernel. */
import { failures } from './bench.ts';
import { tryBeats } from './beats.ts';
import { tryDeaths } from './deaths.ts';
import { tryFreezes } from './freezes.ts';
import { tryLines } from './lines.ts';

const parts = { lines: tryLines, deaths: tryDeaths, freezes: tryFreezes, beats: tryBeats };
const chosen = process.argv.slice(2);
for (const [name, attempt] of Object.entries(parts)) {
  if (chosen.length === 0 || chosen.includes(name)) await attempt();
}
console.log(failures() === 0 ? 'all seen' : `${failures()} not as they should be`);
process.exit(failures() === 0 ? 0 : 1);
