/** `npm run explore -- [GATE] [SLICE]`: explores and prints states, edges and seconds of CPU. */
import { loadCore, loadExplorer } from './compiled.ts';
import { GATES, slices } from './slices.ts';

const [, , only, onlySlice] = process.argv;
const core = await loadCore();
const { explore } = await loadExplorer();
const sum = { states: 0, edges: 0, seconds: 0 };
for (const name of GATES.filter((gate) => only === undefined || gate === only)) {
  for (const slice of slices(name)) {
    if (onlySlice !== undefined && slice.name !== onlySlice) continue;
    const limits = { states: Number(process.env['STATES'] ?? 400_000) };
    const { states, edges, seconds, closed, breaches } = explore(core, slice, limits);
    sum.states += states;
    sum.edges += edges;
    sum.seconds += seconds;
    const end = closed ? 'closed' : 'NOT CLOSED';
    console.log(
      `${name} / ${slice.name}: ${states} states, ${edges} edges, ${seconds.toFixed(1)} s, ${end}, ${breaches.length} breaches`,
    );
    for (const { text, way } of breaches.slice(0, 6))
      console.log(`  ${text}\n    ${way.join(' > ')}`);
  }
}
console.log(`${sum.states} states, ${sum.edges} edges, ${sum.seconds.toFixed(1)} s in all`);
