import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { workshopWords as words } from '../words/workshop.ts';
import { Lanes } from './Lanes.tsx';
import { MarkTable } from './MarkTable.tsx';
import { at as readAt } from './moment.ts';
import { momentText, whenText } from './say.ts';
import { closeTrace, openTrace, says, windowOf, type Trace } from './state.ts';
import { TraceChart } from './TraceChart.tsx';

/** One trace: its weight over time, what stood how, and what happened. */
export function TraceSheet({ shown }: { shown: Trace }) {
  const [from, to] = shown.window;
  const [wanted, setWanted] = useState<number | null>(null);
  const t = Math.min(to, Math.max(from, wanted ?? (from + to) / 2));
  const go = (times: number, by: number): void => {
    void openTrace(shown.name, windowOf(shown, t, times, by));
  };
  const share = to > from ? (t - from) / (to - from) : 0;
  return (
    <section>
      <button type="button" class="act" onClick={closeTrace}>
        <b>{words.back}</b>
      </button>
      <Heading shown={shown} />
      <p role="status">{says.value}</p>
      <Timed share={share}>
        <TraceChart
          shown={shown}
          onSelect={(window) => void openTrace(shown.name, window)}
          onPoint={setWanted}
        />
      </Timed>
      <label class="scrub">
        {words.place}
        <input
          type="range"
          min={from}
          max={to}
          step={Math.max(20, Math.round((to - from) / 2000))}
          value={t}
          aria-valuetext={momentText(shown, t)}
          onInput={(event) => {
            setWanted(Number(event.currentTarget.value));
          }}
        />
      </label>
      <p class="moment" data-testid="moment">
        <b>{momentText(shown, t)}</b> {readAt(shown, t)}
      </p>
      <Zoom go={go} whole={() => void openTrace(shown.name)} />
      <Timed share={share}>
        <Lanes shown={shown} />
      </Timed>
      <MarkTable shown={shown} />
    </section>
  );
}

/** What lies on the time of the trace, with a line at the moment that is looked at. */
function Timed({ share, children }: { share: number; children: ComponentChildren }) {
  const left = `calc(46px + (100% - 46px) * ${String(share)})`;
  return (
    <div class="trace-plot">
      {children}
      <i class="cursor" style={{ insetInlineStart: left }} />
    </div>
  );
}

function Heading({ shown }: { shown: Trace }) {
  const { startedAt, fank, plan, lengthMs } = shown;
  const said = [
    startedAt === null ? words.clockNotSet : words.started(whenText(shown, startedAt)),
    words.lasts((lengthMs / 60_000).toFixed(1)),
    ...(fank === null ? [] : [words.madeBy(fank, plan ?? '–')]),
    ...(shown.broken === 0 ? [] : [words.broken(shown.broken)]),
    ...(shown.weight.t.length === 0 ? [words.noWeights] : []),
  ];
  return (
    <>
      <h2>{shown.name.replace(/\.trace\.ndjson(\.gz)?$/, '')}</h2>
      <p>{said.join(' · ')}</p>
    </>
  );
}

function Zoom({ go, whole }: { go: (times: number, by: number) => void; whole: () => void }) {
  const acts: [string, () => void][] = [
    [words.zoom.in, () => go(0.25, 0)],
    [words.zoom.out, () => go(4, 0)],
    [words.zoom.whole, whole],
    [words.zoom.earlier, () => go(1, -0.5)],
    [words.zoom.later, () => go(1, 0.5)],
  ];
  return (
    <div class="zoom">
      {acts.map(([name, act]) => (
        <button type="button" key={name} onClick={act}>
          {name}
        </button>
      ))}
    </div>
  );
}
