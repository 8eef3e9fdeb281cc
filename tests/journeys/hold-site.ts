/** Takes a site folder, tries to take it again from another process, and prints what that was told. */
import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { initial } from '../../src/core/step.ts';
import { defaultConfig } from '../../src/config/defaults.ts';
import { startRecords } from '../../src/adapters/records/port.ts';

const site = process.argv[2] ?? '';
const config = defaultConfig();
const records = startRecords({
  siteDir: site,
  zone: 'UTC',
  version: '0',
  header: { trace: 1, startedAt: null, scale: config.scale, inputs: config.inputs },
  state: initial(config),
});
await records.ready;
const cli = join(import.meta.dirname, '../../src/cli/fank.js');
const args = [cli, 'demo', '--exit', '--animals', '1', '--site', site];
const { stderr, status } = spawnSync(process.execPath, args, { encoding: 'utf8', timeout: 60_000 });
process.stdout.write(`${status === 2 ? 'refused' : `status ${String(status)}`}: ${stderr}\n`);
await records.close();
