import ts from 'typescript';
import { exactnessBreaches } from './arithmetic.ts';
import { directionBreaches } from './directions.ts';
import { lineOf, parse, walk, type Breach, type Module } from './module.ts';

const MAX_FUNCTION_LINES = 70;
const MAX_FILE_LINES = 300;
const MAX_CONFIGS = 2;
const SAYS_NOTHING = new Set(['utils', 'helpers', 'common', 'misc']);
const TOP_LEVEL = new Set(
  ['README.md', 'DEVELOPERS.md', 'LICENSE', 'package.json', 'package-lock.json'].concat([
    'tsconfig.json',
    'src',
    'hardware-profiles',
    'tests',
    'simulator',
    'docs',
    'systemd',
  ]),
);

/**
 * Checks a whole tree.
 * @param files Text of each file by its path from the root; null for a file not to be read.
 */
export function breaches(files: ReadonlyMap<string, string | null>): Breach[] {
  const modules: Module[] = [];
  const found = [...topLevelBreaches([...files.keys()])];
  for (const [path, text] of files) {
    found.push(...nameBreaches(path));
    if (text === null) continue;
    found.push(...fileLengthBreaches(path, text));
    if (/\.[cm]?[jt]sx?$/.test(path)) modules.push(parse(path, text));
  }
  if (!modules.some(({ path }) => path.startsWith('src/core/'))) {
    found.push('src/core:1: empty tree: no module was read, so nothing was checked');
  }
  const rules = [directionBreaches, exactnessBreaches, functionLengthBreaches];
  return [...found, ...modules.flatMap((module) => rules.flatMap((rule) => rule(module)))];
}

function topLevelBreaches(paths: string[]): Breach[] {
  const entries = [...new Set(paths.map((path) => path.split('/')[0] ?? ''))];
  const configs = entries.filter((entry) => /^[^.].*\.config\.\w+$/.test(entry));
  const surplus = configs.slice(MAX_CONFIGS);
  const strange = entries.filter(
    (entry) => !entry.startsWith('.') && !TOP_LEVEL.has(entry) && !configs.includes(entry),
  );
  return [
    ...strange.map((entry) => `${entry}:1: top level: has no place at the top of the house`),
    ...surplus.map((entry) => `${entry}:1: top level: at most ${MAX_CONFIGS} *.config.*`),
  ];
}

function nameBreaches(path: string): Breach[] {
  const names = path.split('/').map((part) => (part.split('.')[0] ?? '').toLowerCase());
  return names.some((name) => SAYS_NOTHING.has(name))
    ? [`${path}:1: name: says nothing; name it after what it does`]
    : [];
}

function isOurSource(path: string): boolean {
  return /^(src|simulator)\//.test(path);
}

function fileLengthBreaches(path: string, text: string): Breach[] {
  const lines = text.replace(/\n$/, '').split('\n').length;
  return isOurSource(path) && lines > MAX_FILE_LINES
    ? [`${path}:${lines}: file length: over ${MAX_FILE_LINES} lines`]
    : [];
}

function functionLengthBreaches({ path, source }: Module): Breach[] {
  const found: Breach[] = [];
  if (!isOurSource(path)) return found;
  walk(source, (node) => {
    if (!ts.isFunctionLike(node)) return;
    const first = lineOf(source, node);
    const lines = source.getLineAndCharacterOfPosition(node.getEnd()).line + 2 - first;
    if (lines <= MAX_FUNCTION_LINES) return;
    const limit = String(MAX_FUNCTION_LINES);
    found.push(`${path}:${first}: function length: ${lines} lines, over ${limit}`);
  });
  return found;
}
