/**
 * The core bundled into a module of its own: as fast as it is shipped, whatever program explores it,
 * and open to a mutation of one file.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { build, type Plugin } from 'esbuild';
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
  // Under node_modules test runners leave a module as it is.
  const folder = mkdtempSync(join(ROOT, 'node_modules', '.explored-'));
  const outfile = join(folder, 'core.mjs');
  const entryPoints = [join(SOURCE, 'step.ts')];
  const plugins = mutation === null ? [] : [mutate(mutation)];
  try {
    await build({ entryPoints, outfile, plugins, bundle: true, format: 'esm', target: 'es2023' });
    return (await import(pathToFileURL(outfile).href)) as CoreModule;
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
