/** Prints a shipped profile of a weigh head as the adapter is given it: `write-profile.ts NAME`. */
import { loadProfile } from '../../src/config/profiles.ts';

const read = loadProfile('scale', process.argv[2] ?? '', null);
if (read?.ok !== true) throw new Error('there is no such profile');
process.stdout.write(JSON.stringify(read.value));
