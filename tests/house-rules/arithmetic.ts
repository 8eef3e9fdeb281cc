import ts from 'typescript';
import { lineOf, walk, type Breach, type Module } from './module.ts';

// The same bits on x64 and arm64 and in every version of Node; exp, log, sin, pow … are not.
const EXACT_MATH = new Set(
  ['abs', 'min', 'max', 'floor', 'ceil', 'round'].concat(['trunc', 'sign', 'sqrt', 'imul']),
);
const BANNED_GLOBALS = new Set(
  ['Intl', 'Date', 'Temporal', 'performance', 'setTimeout', 'setInterval', 'setImmediate'].concat(
    ['queueMicrotask', 'process', 'console', 'crypto', 'globalThis', 'global', 'eval', 'require'],
    ['Function', 'fetch'],
  ),
);
const BY_LOCALE = /^(toLocale\w*|localeCompare)$/;

/** What would make a replay differ: inexact arithmetic, locale, clocks, timers, chance, logging. */
export function exactnessBreaches(module: Module): Breach[] {
  if (!/^(src\/core|simulator)\//.test(module.path)) return [];
  const found: Breach[] = [];
  walk(module.source, (node) => {
    const wrong = inexact(node);
    if (wrong === null) return;
    found.push(`${module.path}:${lineOf(module.source, node)}: exact replay: ${wrong}`);
  });
  return found;
}

function inexact(node: ts.Node): string | null {
  if (
    node.kind === ts.SyntaxKind.AsteriskAsteriskToken ||
    node.kind === ts.SyntaxKind.AsteriskAsteriskEqualsToken
  ) {
    return '`**` differs between versions of Node; multiply';
  }
  if ((ts.isIdentifier(node) || ts.isStringLiteralLike(node)) && BY_LOCALE.test(node.text)) {
    return `${node.text} depends on the machine's locale`;
  }
  if (!ts.isIdentifier(node) || isMemberName(node)) return null;
  if (BANNED_GLOBALS.has(node.text)) return `${node.text} is not allowed here`;
  return node.text === 'Math' ? inexactMath(node) : null;
}

function inexactMath(math: ts.Identifier): string | null {
  const { parent } = math;
  if (!ts.isPropertyAccessExpression(parent)) return 'Math is only used as Math.<name>';
  if (EXACT_MATH.has(parent.name.text)) return null;
  return `Math.${parent.name.text} is not allowed (only ${[...EXACT_MATH].join(', ')})`;
}

/** The name after a dot or of a property, which says nothing about the global of that name. */
function isMemberName(node: ts.Identifier): boolean {
  const { parent } = node;
  if (ts.isPropertyAccessExpression(parent)) return parent.name === node;
  if (ts.isQualifiedName(parent)) return parent.right === node;
  const named =
    ts.isPropertyAssignment(parent) ||
    ts.isPropertySignature(parent) ||
    ts.isMethodSignature(parent) ||
    ts.isMethodDeclaration(parent) ||
    ts.isPropertyDeclaration(parent);
  return named && parent.name === node;
}
