import type { Command } from 'commander';
import { readText } from '../config/files.ts';
import { runSamples, type SampleResult } from '../config/frames/samples.ts';
import { frameJsonSchema } from '../config/frames/schema.ts';
import { readAnyProfile } from '../config/profiles.ts';
import { formatError, type ConfigError, type Source } from '../config/yaml.ts';

interface ProfileOptions {
  json?: true;
  schema?: true;
}

const EXAMPLES = `
Examples:
  fank profile my-weigh-head.yaml           every sample, and what it reads as
  fank profile hardware-profiles/scales/*.yaml --json
  fank profile --schema > frames.schema.json  for an editor that checks while you write

Exit code: 0 every sample reads as the profile says; 1 one does not; 2 a file that cannot be read.`;

/** Registers `fank profile`. */
export function profileCommand(program: Command): void {
  program
    .command('profile')
    .description('check profiles and run the samples that they carry')
    .argument('[file...]', 'profiles of weigh heads, readers, boards, gates or crates')
    .option('--json', 'one JSON line a sample')
    .option('--schema', 'print the JSON Schema of weigh-head and reader profiles')
    .addHelpText('after', EXAMPLES)
    .action((files: string[], options: ProfileOptions) => {
      process.exitCode = run(files, options);
    });
}

function run(files: string[], options: ProfileOptions): number {
  if (options.schema) {
    process.stdout.write(`${JSON.stringify(frameJsonSchema(), null, 2)}\n`);
    return 0;
  }
  if (files.length === 0) {
    process.stderr.write('Name a profile, such as: fank profile my-weigh-head.yaml\n');
    return 2;
  }
  return Math.max(...files.map((file) => runFile(file, options.json ?? false)));
}

function runFile(file: string, json: boolean): number {
  const text = readText(file);
  if (!text.ok) return unreadable(text.errors);
  const any = readAnyProfile(text.value, file);
  if (any.kind === null) return unreadable(any.errors);
  if (!any.read.ok) return unreadable(any.read.errors);
  const { value, source } = any.read;
  const samples = 'samples' in value ? runSamples(value) : [];
  for (const sample of samples) print(source, sample, json);
  const wrong = samples.filter(({ expected }) => expected !== null).length;
  const words =
    samples.length === 0 ? 'valid; it carries no samples' : tally(samples.length, wrong);
  process.stderr.write(`${file}: ${words}\n`);
  return wrong === 0 ? 0 : 1;
}

function unreadable(errors: ConfigError[]): number {
  for (const error of errors) process.stderr.write(`${formatError(error)}\n`);
  return 2;
}

function tally(all: number, wrong: number): string {
  return wrong === 0
    ? `all ${all} samples read as they should`
    : `${wrong} of ${all} samples are wrong`;
}

function print(source: Source, sample: SampleResult, json: boolean): void {
  const { path, bytes, gave, expected } = sample;
  if (json) {
    const line = { file: source.file, path: path.join('.'), bytes, gave, ok: expected === null };
    process.stdout.write(`${JSON.stringify(expected === null ? line : { ...line, expected })}\n`);
    return;
  }
  if (expected === null) {
    process.stdout.write(`  ok     ${shown(bytes)}  ${gave}\n`);
    return;
  }
  const error = source.error(
    path,
    `this frame reads as ${gave}, not as ${expected}`,
    'Correct the profile or the sample.',
  );
  process.stdout.write(`  wrong  ${shown(bytes)}\n`);
  process.stderr.write(`${formatError(error)}\n`);
}

/** Bytes in a form that can be copied into a profile. */
function shown(bytes: string): string {
  return JSON.stringify(bytes).replace(/[^ -~]|\\u00(..)/g, (all, hex?: string) =>
    hex === undefined ? `\\x${all.charCodeAt(0).toString(16).padStart(2, '0')}` : `\\x${hex}`,
  );
}
