import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { defineConfig, type Plugin } from 'vite';

/** Phones get the files compressed; the server finds each beside the plain one. */
function compressed(): Plugin {
  let folder = '';
  return {
    name: 'compressed',
    configResolved: (config) => {
      folder = config.build.outDir;
    },
    closeBundle: () => {
      for (const file of readdirSync(folder, { recursive: true, encoding: 'utf8' })) {
        if (!/\.(js|css|html|svg)$/.test(file)) continue;
        const path = join(folder, file);
        writeFileSync(`${path}.gz`, gzipSync(readFileSync(path), { level: 9 }));
      }
    },
  };
}

export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  // Nothing of the surroundings gets into what browsers are given.
  envPrefix: 'FANK_PAGE_',
  // Never with the names of the files that it was made from, whoever builds it.
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact', development: false } },
  plugins: [compressed()],
  build: {
    outDir: fileURLToPath(new URL('../../../dist/web', import.meta.url)),
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
  },
});
