import { posix } from 'node:path';
import ts from 'typescript';

/** One breach of a house rule, as it is shown: `file:line: rule: what to change`. */
export type Breach = string;

/** One import, re-export, `import()`, `import('…')` type or `require` of a module. */
export interface Import {
  line: number;
  /** As written. */
  specifier: string;
  /** Path from the repository's root for a relative specifier, null for a package. */
  path: string | null;
  /** `import type` or `export type`; `import { type X }` still loads the module, so it is not. */
  typeOnly: boolean;
  /** Names taken, before renaming; `*` for the whole module. */
  names: string[];
}

/** A parsed source file; `path` is from the repository's root. */
export interface Module {
  path: string;
  source: ts.SourceFile;
  imports: Import[];
}

/** Line of a node, counted from 1. */
export function lineOf(source: ts.SourceFile, node: ts.Node): number {
  return source.getLineAndCharacterOfPosition(node.getStart(source)).line + 1;
}

/** Calls `visit` for every node of the file. */
export function walk(node: ts.Node, visit: (node: ts.Node) => void): void {
  visit(node);
  ts.forEachChild(node, (child) => {
    walk(child, visit);
  });
}

export function parse(path: string, text: string): Module {
  const source = ts.createSourceFile(path, text, ts.ScriptTarget.Latest, true);
  const imports: Import[] = [];
  walk(source, (node) => {
    const found = importIn(node);
    if (!found) return;
    const specifier =
      found.from && ts.isStringLiteralLike(found.from) ? found.from.text : '(computed)';
    const target = specifier.startsWith('.') ? posix.join(posix.dirname(path), specifier) : null;
    imports.push({ line: lineOf(source, node), specifier, path: target, ...found.taken });
  });
  return { path, source, imports };
}

type Found = { from: ts.Node | undefined; taken: { typeOnly: boolean; names: string[] } };

function importIn(node: ts.Node): Found | null {
  if (ts.isImportDeclaration(node)) {
    const clause = node.importClause;
    const typeOnly = clause?.phaseModifier === ts.SyntaxKind.TypeKeyword;
    return { from: node.moduleSpecifier, taken: { typeOnly, names: namesOf(clause) } };
  }
  if (ts.isExportDeclaration(node) && node.moduleSpecifier) {
    const names =
      node.exportClause && ts.isNamedExports(node.exportClause)
        ? node.exportClause.elements.map((e) => (e.propertyName ?? e.name).text)
        : ['*'];
    return { from: node.moduleSpecifier, taken: { typeOnly: node.isTypeOnly, names } };
  }
  if (ts.isImportTypeNode(node)) {
    const from = ts.isLiteralTypeNode(node.argument) ? node.argument.literal : undefined;
    const names = [node.qualifier?.getText() ?? '*'];
    return { from, taken: { typeOnly: true, names } };
  }
  const loads =
    ts.isCallExpression(node) &&
    (node.expression.kind === ts.SyntaxKind.ImportKeyword ||
      (ts.isIdentifier(node.expression) && node.expression.text === 'require'));
  return loads ? { from: node.arguments[0], taken: { typeOnly: false, names: ['*'] } } : null;
}

function namesOf(clause: ts.ImportClause | undefined): string[] {
  if (!clause) return [];
  const names = clause.name ? ['default'] : [];
  const bindings = clause.namedBindings;
  if (!bindings) return names;
  if (ts.isNamespaceImport(bindings)) return [...names, '*'];
  return [...names, ...bindings.elements.map((e) => (e.propertyName ?? e.name).text)];
}
