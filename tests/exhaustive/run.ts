/** `npx tsx tests/exhaustive/run.ts [GATE] [SLICE]`: explores and prints states, edges and seconds. */
import * as core from '../../src/core/step.ts';
import { explore } from './explore.ts';
import { alphabets, GATES, shortConfig, shortGate } from './profiles.ts';

const [, , only, onlySlice] = process.argv;
for (const name of GATES.filter((gate) => only === undefined || gate === only)) {
  const gate = shortGate(name);
  for (const { alphabet, contacts } of alphabets(gate)) {
    if (onlySlice !== undefined && alphabet.name !== onlySlice) continue;
    const config = shortConfig(gate, contacts);
    const limits = { states: Number(process.env['STATES'] ?? 400_000), stopAtBreach: false };
    const found = explore(core, config, alphabet, limits);
    const { states, edges, seconds, closed } = found;
    const end = closed ? 'closed' : 'NOT CLOSED';
    console.log(
      `${name} / ${alphabet.name}: ${states} states, ${edges} edges, ${seconds.toFixed(1)} s, ${end}, ${found.breaches.length} breaches`,
    );
    for (const { text, way } of found.breaches.slice(0, 6))
      console.log(`  ${text}\n    ${way.join(' > ')}`);
  }
}
