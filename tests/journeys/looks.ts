/// <reference lib="dom" />
/** What every screen of the page is held against: axe, and targets that a wet glove hits. */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { AxeResults } from 'axe-core';
import type { Page as Tab } from 'playwright-core';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const TARGET_PX = 64;

/** Faults that axe finds, with the 7:1 contrast of its enhanced rule; and how many rules passed. */
export async function axe(tab: Tab): Promise<{ wrong: string[]; passed: number }> {
  if (!(await tab.evaluate(() => 'axe' in window))) await tab.evaluate(AXE);
  const found = await tab.evaluate(async () => {
    const { axe } = window as unknown as {
      axe: { run(on: Document, options: object): Promise<AxeResults> };
    };
    return axe.run(document, {
      rules: { 'color-contrast-enhanced': { enabled: true }, 'target-size': { enabled: true } },
    });
  });
  const wrong = found.violations.flatMap(({ id, nodes }) =>
    nodes.map((node) => `${id}: ${node.html.slice(0, 120)}`),
  );
  return { wrong, passed: found.passes.length };
}

/** Buttons smaller than a wet glove hits, and whatever is wider than the phone. */
export async function tooSmallOrWide(tab: Tab): Promise<string[]> {
  return tab.evaluate((least) => {
    const wrong: string[] = [];
    for (const one of document.querySelectorAll(
      'button, input, select, textarea, a, [role=slider]',
    )) {
      const { width, height } = one.getBoundingClientRect();
      if (width < least || height < least) wrong.push(`small: ${one.textContent}`);
    }
    const wide = document.documentElement.clientWidth;
    for (const one of document.querySelectorAll('#page *')) {
      const box = one.getBoundingClientRect();
      if (box.width > 2 && (box.right > wide + 1 || box.left < -1)) {
        wrong.push(
          `wide: ${one.tagName} ${one.getAttribute('class') ?? ''} ${one.textContent.slice(0, 40)}`,
        );
      }
    }
    return wrong;
  }, TARGET_PX);
}
