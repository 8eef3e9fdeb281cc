import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { runSamples } from '../../../src/config/frames/samples.ts';
import { frameJsonSchema, frameProfile } from '../../../src/config/frames/schema.ts';
import { formatError, loadYaml } from '../../../src/config/yaml.ts';

const root = join(import.meta.dirname, '../../../hardware-profiles');
const files = ['scales', 'readers'].flatMap((folder) =>
  readdirSync(join(root, folder)).map((file) => join(folder, file)),
);

test('there are profiles of both kinds', () => {
  expect(files.filter((file) => file.startsWith('scales')).length).toBeGreaterThanOrEqual(4);
  expect(files.filter((file) => file.startsWith('readers')).length).toBeGreaterThanOrEqual(5);
});

test.each(files)('%s: every sample reads as it says, every bad frame as nothing', (file) => {
  const loaded = loadYaml(readFileSync(join(root, file), 'utf8'), file, frameProfile);
  if (!loaded.ok) throw new Error(loaded.errors.map(formatError).join('\n'));
  const results = runSamples(loaded.value);
  expect(results.filter(({ expected }) => expected !== null)).toEqual([]);
  expect(results.filter(({ path }) => path[0] === 'samples').length).toBeGreaterThan(0);
  expect(results.filter(({ path }) => path[0] === 'bad').length).toBeGreaterThan(3);
});

test('the page about profiles names them all, and its own example reads as it says', () => {
  const page = readFileSync(join(root, '../docs/profiles.md'), 'utf8');
  for (const file of files) expect(page).toContain(`\`${file}\``);
  const example = /```yaml\n([^]*?)```/.exec(page)?.[1] ?? '';
  const loaded = loadYaml(example, 'docs/profiles.md', frameProfile);
  if (!loaded.ok) throw new Error(loaded.errors.map(formatError).join('\n'));
  expect(runSamples(loaded.value).map(({ expected }) => expected)).toEqual([null, null]);
});

test('the JSON Schema for editors is the one of the code', () => {
  const text = readFileSync(join(root, 'frames.schema.json'), 'utf8');
  expect(JSON.parse(text)).toEqual(frameJsonSchema());
});
