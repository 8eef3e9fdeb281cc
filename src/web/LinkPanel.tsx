import { useEffect, useState } from 'preact/hooks';
import type { LinkFigures } from '../adapters/page/messages.ts';
import { get } from './api.ts';
import { ago } from './say.ts';
import { words } from './words/en.ts';

const EVERY_MS = 1000;

/** How the weigh head and the tag reader are heard: for whoever looks for a loose plug. */
export function LinkPanel() {
  const [links, setLinks] = useState<LinkFigures[] | null>(null);
  useEffect(() => {
    const look = async (): Promise<void> => setLinks(await get<LinkFigures[]>('/api/links'));
    void look();
    const timer = setInterval(() => void look(), EVERY_MS);
    return () => clearInterval(timer);
  }, []);
  if (links === null || links.length === 0) return null;
  return (
    <section class="heard" data-testid="links">
      <h2>{words.links}</h2>
      {links.map((one) => (
        <LinkRow key={one.link} {...one} />
      ))}
    </section>
  );
}

function LinkRow(one: LinkFigures) {
  const { heard } = words;
  const figures: [string, string][] = [
    [heard.perSecond, one.perSecond.toFixed(1)],
    [heard.lastFrame, one.heardAgeMs === null ? heard.never : ago(one.heardAgeMs)],
    [heard.noise, String(one.noise)],
    [heard.reopened, String(one.reopened)],
    [heard.lost, one.lostAgoMs === null ? heard.never : lostAt(one.lostAgoMs)],
  ];
  return (
    <>
      <h3>
        {words.link[one.link]}: {one.up ? words.linkUp : words.linkDown}
      </h3>
      <p>{one.reason}</p>
      <dl>
        {figures.map(([what, figure]) => (
          <div key={what}>
            <dt>{what}</dt>
            <dd>{figure}</dd>
          </div>
        ))}
      </dl>
    </>
  );
}

/** By the phone's own clock: the daemon's may never have been set. */
function lostAt(agoMs: number): string {
  const when = new Date(Date.now() - agoMs).toLocaleTimeString(words.lang);
  return `${when} (${ago(agoMs)})`;
}
