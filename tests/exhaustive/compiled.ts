/**
 * The core bundled into a module of its own: as fast as it is shipped, whatever program explores it,
 * and open to a mutation of one file.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { build, type Plugin } from 'esbuild';
import type * as Explorer from './explore.ts';
import type { CoreModule } from './model.ts';

const ROOT = join(import.meta.dirname, '..', '..');
const SOURCE = join(ROOT, 'src', 'core');

/** A change of the source, which has to stand there exactly once. */
export interface Mutation {
  /** Path under `src/core`. */
  file: string;
  from: string;
  to: string;
}

/** Compiles and loads the core; each call gives a module of its own. */
export async function loadCore(mutation: Mutation | null = null): Promise<CoreModule> {
  const plugins = mutation === null ? [] : [mutate(mutation)];
  return (await bundled(join(SOURCE, 'step.ts'), plugins)) as CoreModule;
}

/** The explorer with its watcher, as fast as they are without a test runner around them. */
export async function loadExplorer(): Promise<Pick<typeof Explorer, 'explore'>> {
  return (await bundled(join(import.meta.dirname, 'explore.ts'), [])) as typeof Explorer;
}

async function bundled(entry: string, plugins: Plugin[]): Promise<unknown> {
  // Under node_modules test runners leave a module as it is.
  const folder = mkdtempSync(join(ROOT, 'node_modules', '.explored-'));
  const outfile = join(folder, 'bundle.mjs');
  const options = { bundle: true, format: 'esm', target: 'es2023' } as const;
  try {
    await build({ entryPoints: [entry], outfile, plugins, ...options });
    return await import(pathToFileURL(outfile).href);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function mutate({ file, from, to }: Mutation): Plugin {
  return {
    name: 'mutation',
    setup(bundler) {
      bundler.onLoad({ filter: /\.ts$/ }, ({ path }) => {
        if (path !== join(SOURCE, file)) return null;
        const parts = readFileSync(path, 'utf8').split(from);
        if (parts.length !== 2)
          throw new Error(`${file}: ${parts.length - 1} times in it: ${from}`);
        return { contents: parts.join(to), loader: 'ts' };
      });
    },
  };
}
