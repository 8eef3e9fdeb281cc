/** Listening on the weigh head's line, at the fitting's step of the head. */
import { useEffect, useState } from 'preact/hooks';
import type { SearchShown } from '../../adapters/line-search.ts';
import { get, post } from '../api.ts';
import { numberOf } from '../number.ts';
import { words as common } from '../words/en.ts';
import { listenWords as words } from '../words/listen.ts';
import './listen.css';

const LOOK_MS = 500;
/** Opening and closing the port, and writing to the card, take their time. */
const PATIENCE_MS = 12_000;
const WHERE = '/api/fitting/listen';
type Shown = { search: SearchShown | null };

/** Posts it; what comes back is shown. True where it was taken. */
type Say = (body: object) => Promise<boolean>;

export function ListenPanel() {
  const [search, setSearch] = useState<SearchShown | null>(null);
  const [says, setSays] = useState('');
  useEffect(() => {
    const look = async (): Promise<void> => {
      const found = await get<Shown>(WHERE);
      if (found !== null) setSearch(found.search);
    };
    void look();
    const timer = setInterval(() => void look(), LOOK_MS);
    return () => clearInterval(timer);
  }, []);
  const say: Say = async (body) => {
    setSays('');
    const answer = await post<Shown>(WHERE, body, PATIENCE_MS);
    if (answer.ok) setSearch(answer.value.search);
    else setSays(answer.refusal?.reason ?? common.refusal['no-answer']);
    return answer.ok;
  };
  return (
    <details class="item listen" data-testid="listen" data-sure={search?.sure === true}>
      <summary>{words.title}</summary>
      <p>{words.how}</p>
      {search?.on === true ? (
        <button type="button" class="act" onClick={() => void say({ do: 'stop' })}>
          <b>{words.stop}</b>
        </button>
      ) : (
        <Begin say={say} wrong={setSays} again={search !== null} />
      )}
      <p role="alert" class="said bad">
        {says}
        {search?.trouble}
      </p>
      {search === null ? null : <Heard search={search} />}
      {search?.on === true ? <Known search={search} say={say} wrong={setSays} /> : null}
      {(search?.profile ?? null) !== null ? (
        <Write say={say} wrong={setSays} sure={search?.sure === true} />
      ) : null}
    </details>
  );
}

interface Asks {
  say: Say;
  /** Says what is wrong with what was typed. */
  wrong: (text: string) => void;
}

function Begin({ say, wrong, again }: Asks & { again: boolean }) {
  const [send, setSend] = useState('');
  const [every, setEvery] = useState('200');
  const begin = (): void => {
    const everyMs = numberOf(every);
    if (send === '') void say({ do: 'start' });
    else if (everyMs === null || everyMs < 20 || everyMs > 60_000) wrong(words.wrongEvery);
    else void say({ do: 'start', ask: { send, everyMs: Math.round(everyMs) } });
  };
  return (
    <>
      <button type="button" class="act" onClick={begin}>
        <b>{again ? words.again : words.listen}</b>
      </button>
      <label>
        {words.poll}
        <input
          autocomplete="off"
          autocapitalize="off"
          value={send}
          onInput={(event) => setSend(event.currentTarget.value)}
        />
      </label>
      <p>{words.pollHow}</p>
      {send === '' ? null : (
        <label>
          {words.every}
          <input
            inputMode="numeric"
            autocomplete="off"
            value={every}
            onInput={(event) => setEvery(event.currentTarget.value)}
          />
        </label>
      )}
    </>
  );
}

function lineOf({ everySpeed, baud, framing, periodMs, steadyKg }: SearchShown): string {
  const parts: string[] = [];
  if (everySpeed) parts.push(words.anySpeed);
  if (baud !== null) parts.push(words.speed(String(baud), framing ?? ''));
  if (periodMs !== null) parts.push(words.period(String(periodMs)));
  if (steadyKg !== null) parts.push(words.atRest(String(steadyKg)));
  return parts.join(' ');
}

/** What the service found out is told in its own words, as everything that it records. */
function Told({ title, texts, open }: { title: string; texts: string[]; open: boolean }) {
  if (texts.length === 0) return null;
  return (
    <details open={open}>
      <summary>{title}</summary>
      <ul lang="en" dir="ltr">
        {texts.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
    </details>
  );
}

function Heard({ search }: { search: SearchShown }) {
  const { on, opening, raw, kg, motion, sure, evidence, doubts } = search;
  return (
    <>
      {on && opening !== null ? <p>{words.opening(opening)}</p> : null}
      {raw === '' ? (
        <p>{words.nothing}</p>
      ) : (
        <dl class="heard">
          <dt>{words.raw}</dt>
          <dd>
            <code dir="ltr">{raw}</code>
          </dd>
          <dt>{words.reads}</dt>
          <dd>
            <b data-testid="listen-reads">{kg === null ? common.noFigure : `${String(kg)} kg`}</b>{' '}
            {motion === null ? '' : motion ? words.moving : words.steady}
          </dd>
        </dl>
      )}
      <p role="status" data-testid="listen-says">
        <b>{sure ? words.sure : words.notYet}</b> {lineOf(search)}
      </p>
      <Told title={words.doubts} texts={doubts} open={true} />
      <Told title={words.why} texts={evidence} open={false} />
    </>
  );
}

function Known({ search, say, wrong }: Asks & { search: SearchShown }) {
  const [typed, setTyped] = useState('');
  const confirm = (): void => {
    const kg = numberOf(typed);
    if (kg === null || kg <= 0) wrong(words.wrongKg);
    else void say({ do: 'known', kg });
  };
  const { knownKg, confirmed } = search;
  return (
    <>
      <label>
        {words.known}
        <input
          inputMode="decimal"
          autocomplete="off"
          value={typed}
          onInput={(event) => setTyped(event.currentTarget.value)}
        />
      </label>
      <button type="button" class="act" onClick={confirm}>
        <b>{words.confirm}</b>
      </button>
      {knownKg === null ? null : (
        <p role="status">
          {confirmed ? words.confirmed(String(knownKg)) : words.waiting(String(knownKg))}
        </p>
      )}
    </>
  );
}

function Write({ say, wrong, sure }: Asks & { sure: boolean }) {
  const [name, setName] = useState('my-head');
  const [written, setWritten] = useState('');
  const write = async (): Promise<void> => {
    setWritten('');
    if (!/^[a-z0-9][a-z0-9-]{0,39}$/.test(name)) wrong(words.wrongName);
    else if (await say({ do: 'write', name })) setWritten(words.written(name));
  };
  return (
    <>
      <label>
        {words.name}
        <input
          autocomplete="off"
          autocapitalize="off"
          value={name}
          onInput={(event) => setName(event.currentTarget.value)}
        />
      </label>
      <button type="button" class="act" onClick={() => void write()}>
        <b>{sure ? words.write : words.writeUnsure}</b>
      </button>
      <p role="status">{written}</p>
    </>
  );
}
