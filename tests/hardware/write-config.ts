/** Prints the configuration that the service in the machine runs with: three exits, two leaves, a beam. */
import { defaultConfig } from '../../src/config/defaults.ts';

const scale = { divisionKg: 0.1, rateHz: 10 };
const inputs = ['frontShut', 'laneClear', 'stopLoop', 'actuatorPower'];
process.stdout.write(JSON.stringify(defaultConfig({ scale, inputs })));
