import { useEffect } from 'preact/hooks';
import type { TraceOnCard } from '../../adapters/page/workshop/contracts.ts';
import { me, sheet } from '../store.ts';
import { words as common } from '../words/en.ts';
import { workshopWords as words } from '../words/workshop.ts';
import { PastFaults } from './PastFaults.tsx';
import { openTrace, readFaults, readTraces, says, trace, traces } from './state.ts';
import { TraceSheet } from './TraceSheet.tsx';
import './workshop.css';

function TraceRow({ one }: { one: TraceOnCard }) {
  const stem = one.name.replace(/\.trace\.ndjson(\.gz)?$/, '');
  return (
    <button type="button" class="act trace" onClick={() => void openTrace(one.name)}>
      <b>{stem}</b>
      <span>{words.size((one.bytes / 1e6).toFixed(2))}</span>
    </button>
  );
}

function Traces() {
  const installer = me.value.role === 'installer';
  useEffect(() => {
    if (installer) void readTraces();
  }, [installer]);
  const list = traces.value;
  return (
    <section>
      <h2>{words.traces}</h2>
      <p>{words.tracesAre}</p>
      <p role="status">{says.value}</p>
      {installer ? null : (
        <>
          <p>{words.installerOnly}</p>
          <button
            type="button"
            class="act"
            onClick={() => {
              sheet.value = 'sign-in';
            }}
          >
            <b>{common.signIn}</b>
          </button>
        </>
      )}
      {installer && list?.length === 0 ? <p>{words.noTraces}</p> : null}
      {installer ? (list ?? []).map((one) => <TraceRow key={one.name} one={one} />) : null}
    </section>
  );
}

/** The place Workshop: what went wrong on which day, and the traces that it left. */
export function WorkshopScreen() {
  useEffect(() => void readFaults(), []);
  const shown = trace.value;
  return (
    <main class="workshop">
      <h1>{words.title}</h1>
      {shown === null ? (
        <>
          <PastFaults />
          <Traces />
        </>
      ) : (
        <TraceSheet shown={shown} />
      )}
    </main>
  );
}
