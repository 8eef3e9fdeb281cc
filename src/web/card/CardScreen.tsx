import { useEffect, useState } from 'preact/hooks';
import type { Qr as Code } from '../../adapters/page/contracts.ts';
import type { Layout } from '../../adapters/page/messages.ts';
import { get } from '../api.ts';
import { Qr } from '../Qr.tsx';
import { exitName } from '../say.ts';
import { layout } from '../store.ts';
import { cardWords as words } from '../words/card.ts';
import './card.css';
import { GatePicture, Pattern, PinPicture, StopPicture } from './Pictures.tsx';
import { flashes, SOUNDS, type SoundName } from './sounds.ts';

function Lines({ of }: { of: string[] }) {
  return (
    <ol>
      {of.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ol>
  );
}

/** What each exit is called, which lots go there, and how the lamp says it. */
function Exits({ given }: { given: Layout }) {
  return (
    <table>
      <tbody>
        {given.exits.map(({ exit, said, flashes: count }) => {
          const lots = given.lots.filter((lot) => lot.exit === exit).map(({ name }) => name);
          return (
            <tr key={exit}>
              <th scope="row">
                {exitName(exit)}
                {said === undefined ? null : <small>{said}</small>}
              </th>
              <td>
                <Pattern steps={flashes(count)} />
                <small>
                  {words.flashes(count)}
                  {lots.length === 0 ? '' : `, ${words.lots(lots.join(', '))}`}
                </small>
              </td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

function Sounds() {
  return (
    <table>
      <tbody>
        {Object.entries(words.sounds).map(([name, { name: what, means }]) => (
          <tr key={name}>
            <th scope="row">
              {what}
              <Pattern steps={SOUNDS[name as SoundName]} />
            </th>
            <td>{means}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** The way to the page for a phone that has never been there. */
function PageCode() {
  const [code, setCode] = useState<Code | null>(null);
  useEffect(() => void get<Code>('/api/sign-in-code').then(setCode), []);
  return (
    <section class="code">
      <h2>{words.codeTitle}</h2>
      {code === null ? (
        <p>{words.noCode}</p>
      ) : (
        <Qr code={code} label={words.codePicture(code.text)} />
      )}
      <p>
        {words.code}
        {code === null ? null : <b>{code.text.replace(/#.*$/, '')}</b>}
      </p>
    </section>
  );
}

/** With more exits than these the words are smaller, for one sheet to hold them. */
const MOST_LARGE = 3;

/** One page to print and to hang beside the gate. */
export function CardScreen() {
  const given = layout.value;
  return (
    <main class={(given?.exits.length ?? 0) > MOST_LARGE ? 'yard-card many' : 'yard-card'}>
      <h1>{words.title}</h1>
      <button type="button" class="act" onClick={() => print()}>
        <b>{words.print}</b>
      </button>
      <section class="stop-card">
        <StopPicture label={words.stopPicture} />
        <div>
          <h2>{words.stopTitle}</h2>
          <Lines of={words.stop} />
        </div>
      </section>
      <section class="pin-card">
        <PinPicture label={words.pinPicture} />
        <div>
          <h2>{words.pinTitle}</h2>
          <Lines of={words.pin} />
        </div>
      </section>
      {given === null ? null : (
        <section>
          <h2>{words.lampTitle}</h2>
          <GatePicture given={given} label={words.gatePicture} />
          <p>{words.gateTitle}</p>
          <Exits given={given} />
          <p>{words.lamp}</p>
        </section>
      )}
      <section>
        <h2>{words.soundTitle}</h2>
        <Sounds />
        <p>{words.sound}</p>
      </section>
      <section>
        <h2>{words.orderTitle}</h2>
        <Lines of={words.order} />
      </section>
      <PageCode />
      <p class="law">{words.law}</p>
    </main>
  );
}
