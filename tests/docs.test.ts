/** Links, pictures and commands in the pages for people lead somewhere. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { expect, test } from 'vitest';

const ROOT = join(import.meta.dirname, '..');
const docs = readdirSync(join(ROOT, 'docs')).filter((name) => name.endsWith('.md'));
const pages = ['README.md', 'DEVELOPERS.md', ...docs.map((name) => `docs/${name}`)];
const textOf = (page: string): string => readFileSync(join(ROOT, page), 'utf8');

/** Without code, where brackets and hashes mean something else. */
const prose = (text: string): string =>
  text.replaceAll(/```[^]*?```/g, '').replaceAll(/`[^`\n]*`/g, '');

/** Names that headings can be reached by. */
function anchors(text: string): Set<string> {
  const heads = text.replaceAll(/```[^]*?```/g, '').match(/^#+ .*$/gm) ?? [];
  const names = heads.map((head) =>
    head
      .replace(/^#+ /, '')
      .toLowerCase()
      .replaceAll(/[^\p{L}\p{N} _-]/gu, '')
      .replaceAll(' ', '-'),
  );
  return new Set(names);
}

function linksOf(page: string): string[] {
  const text = prose(textOf(page));
  const links = [...text.matchAll(/\]\(([^)\s]+)\)/g), ...text.matchAll(/src="([^"]+)"/g)];
  return links.map(([, to = '']) => to).filter((to) => !/^https?:/.test(to));
}

test.each(pages)('%s: every link and picture is there', (page) => {
  const wrong = linksOf(page).filter((to) => {
    const [path = '', anchor] = to.split('#');
    const file = path === '' ? page : relative(ROOT, join(ROOT, dirname(page), path));
    if (!existsSync(join(ROOT, file))) return true;
    return anchor !== undefined && !anchors(textOf(file)).has(anchor);
  });
  expect(wrong).toEqual([]);
});

test('pages are linked from the first one, or from one that is', () => {
  const seen = new Set(['README.md', 'DEVELOPERS.md']);
  for (const page of seen) {
    for (const to of linksOf(page)) {
      const path = join(dirname(page), to.split('#')[0] ?? '');
      if (pages.includes(path)) seen.add(path);
    }
  }
  expect(pages.filter((page) => !seen.has(page))).toEqual([]);
});

test('every command and option that a page shows is one that the program knows', () => {
  const cli = readdirSync(join(ROOT, 'src/cli'))
    .map((name) => textOf(`src/cli/${name}`))
    .join('\n');
  const wrong = pages.flatMap((page) => {
    const lines = textOf(page).match(/(?:^|`|npx )fank [a-z].*$/gm) ?? [];
    return lines.flatMap((line) => {
      const [, command = '', rest = ''] = /fank ([a-z]+)([^`]*)/.exec(line) ?? [];
      const known = cli.includes(`.command('${command}')`);
      const options = rest.split(/ {2}/)[0]?.match(/--[a-z][\w-]*/g) ?? [];
      const strange = options.filter((option) => !cli.includes(option));
      return known && strange.length === 0 ? [] : [`${page}: ${line.trim()}`];
    });
  });
  expect(wrong).toEqual([]);
});
