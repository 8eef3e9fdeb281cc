import { formatError } from '../config/errors.ts';
import { loadFacts, type SiteFacts } from '../config/facts.ts';
import { loadSite, type LoadOptions, type ResolvedSite } from '../config/load.ts';
import { say, WrongUse } from './answer.ts';

/**
 * Reads a site folder with the lists that its plan names; says its warnings.
 * @throws WrongUse with everything that is wrong, each at its file:line:column
 */
export function openSite(
  folder: string,
  options: LoadOptions = {},
): { site: ResolvedSite; facts: SiteFacts } {
  const loaded = loadSite(folder, options);
  for (const warning of loaded.warnings) say(formatError(warning));
  if (!loaded.ok) throw new WrongUse(loaded.errors.map(formatError).join('\n'));
  const facts = loadFacts(loaded.value.dir, loaded.value.config.plan, null);
  if (!facts.ok) throw new WrongUse(facts.errors.map(formatError).join('\n'));
  return { site: loaded.value, facts: facts.value };
}
