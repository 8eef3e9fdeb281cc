import { isBuiltin } from 'node:module';
import type { Breach, Import, Module } from './module.ts';

const WEB_PACKAGES = ['preact', '@preact/signals', 'uplot'];
const MAY_USE_SIMULATOR = /^src\/cli\/(demo|replay)[\w-]*\.ts$/;
const MAY_WIRE_ADAPTERS = /^(src\/daemon\.ts$|src\/cli\/|simulator\/)/;
/** What the daemon puts together: they know adapters by their types alone. */
const MAY_KNOW_ADAPTERS =
  /^src\/(loop|line-(loan|search)|workday(-open)?|session-words|medicine|put-right|knowledge|wall-clock)\.ts$/;
const PTY = 'simulator/pty.ts';

/** Dependencies point inward: daemon, cli -> adapters, config -> core. */
export function directionBreaches(module: Module): Breach[] {
  return module.imports.flatMap((one) => {
    const wrong = wrongImport(module.path, one);
    return wrong === null
      ? []
      : [`${module.path}:${one.line}: direction: '${one.specifier}': ${wrong}`];
  });
}

function wrongImport(from: string, one: Import): string | null {
  if (from.startsWith('tests/')) return null;
  const to = one.path;
  if (to?.startsWith('tests/')) return 'only tests import tests';
  if (from.startsWith('src/core/')) return wrongInCore(from, one);
  if (from.startsWith('simulator/')) return wrongInSimulator(from, one);
  if (from.startsWith('src/web/build/')) return null;
  if (from.startsWith('src/web/')) return wrongInWeb(one);
  if (!from.startsWith('src/') || to === null) return null;
  if (to.startsWith('simulator/') && !MAY_USE_SIMULATOR.test(from)) {
    return 'in src only src/cli/demo*.ts and src/cli/replay*.ts use the simulator';
  }
  if (to.startsWith('src/web/')) return 'the page is served, never imported';
  if (from.startsWith('src/config/') && !/^src\/(core|config)\//.test(to)) {
    return 'src/config imports only src/core and packages';
  }
  if (from.startsWith('src/fitting/') && !/^src\/(core|config|fitting)\//.test(to)) {
    return 'src/fitting imports only src/core, src/config and packages';
  }
  if (from.startsWith('src/adapters/')) return wrongInAdapter(from, to);
  if (MAY_KNOW_ADAPTERS.test(from) && one.typeOnly) return null;
  if (to.startsWith('src/adapters/') && !MAY_WIRE_ADAPTERS.test(from)) {
    return 'only src/daemon.ts, src/cli and the simulator wire adapters; the loop and the day take types';
  }
  return from === 'src/daemon.ts' && to.startsWith('src/cli/')
    ? 'the daemon knows no command'
    : null;
}

function wrongInCore(from: string, one: Import): string | null {
  const to = one.path;
  if (!to?.startsWith('src/core/')) return 'src/core imports nothing outside src/core';
  const module = coreModule(to);
  if (from === 'src/core/step.ts' || module === null || module === coreModule(from)) return null;
  const state = one.names.find((name) => /(^|\.)(\w*State|initial([A-Z]\w*)?|\*)$/.test(name));
  return state === undefined
    ? null
    : `takes '${state}': modules of the core see each other's results, never their state`;
}

/** Name of the core's module (its folder), or null for a file directly in src/core. */
function coreModule(path: string): string | null {
  return /^src\/core\/([^/]+)\//.exec(path)?.[1] ?? null;
}

function wrongInSimulator(from: string, one: Import): string | null {
  if (one.path !== null) {
    return /^(simulator|src\/(core|config|adapters))\//.test(one.path)
      ? null
      : 'the simulator imports only src/core, src/config and src/adapters';
  }
  const forPty = isBuiltin(one.specifier) || one.specifier === 'koffi';
  return from === PTY && forPty ? null : `only ${PTY} imports node: or koffi, and nothing else`;
}

function wrongInAdapter(from: string, to: string): string | null {
  if (!to.startsWith('src/adapters/')) {
    return /^src\/(core|config|fitting)\//.test(to)
      ? null
      : 'adapters import only src/core, src/config and src/fitting';
  }
  const folder = adapterFolder(to);
  return folder === null || folder === adapterFolder(from)
    ? null
    : 'adapters never import each other; what two need stands directly in src/adapters';
}

function adapterFolder(path: string): string | null {
  return /^src\/adapters\/([^/]+)\//.exec(path)?.[1] ?? null;
}

function wrongInWeb(one: Import): string | null {
  if (one.path?.startsWith('src/web/')) return null;
  if (one.path !== null) return one.typeOnly ? null : 'src/web imports only types from outside';
  const known = WEB_PACKAGES.some((p) => one.specifier === p || one.specifier.startsWith(`${p}/`));
  return known ? null : `src/web uses only the packages ${WEB_PACKAGES.join(', ')}`;
}
