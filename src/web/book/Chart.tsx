import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import { look } from '../look.ts';
import { bookWords as words } from '../words/book.ts';

export interface Drawn {
  title: string;
  kind: 'bars' | 'line';
  /** From left to right. */
  x: number[];
  y: number[];
  /** How a place on the x axis is said, and which steps it may have. */
  say: (x: number) => string;
  steps: number[];
  /** Below and above each point, for the line. */
  interval?: { low: number[]; high: number[] };
}

const HIGH = 190;
const WHOLE = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000];

function options(drawn: Drawn, width: number): uPlot.Options {
  const style = getComputedStyle(document.documentElement);
  const colour = (name: string): string => style.getPropertyValue(name).trim();
  const [ink, soft, accent] = [colour('--ink'), colour('--soft'), colour('--accent')];
  const axis = { stroke: ink, font: '14px system-ui, sans-serif', ticks: { stroke: soft } };
  const thin = { stroke: accent, width: 1, dash: [4, 4], points: { show: false } };
  const bars = uPlot.paths.bars?.({ size: [0.86, 60] });
  const shape =
    drawn.kind === 'bars' && bars !== undefined
      ? { paths: bars, fill: accent, points: { show: false } }
      : { width: 3, points: { show: true, size: 10, fill: accent } };
  return {
    width,
    height: HIGH,
    legend: { show: false },
    cursor: { show: false },
    scales: {
      x: { time: false, range: (_u, least, most) => padded(drawn, least, most) },
      y: {
        range: (_u, least, most) =>
          drawn.kind === 'bars' ? [0, most * 1.08] : [least - 1, most + 1],
      },
    },
    axes: [
      {
        ...axis,
        grid: { show: false },
        incrs: drawn.steps,
        space: 64,
        values: (_u, splits) => splits.map(drawn.say),
      },
      {
        ...axis,
        grid: { stroke: soft, width: 0.5 },
        size: 46,
        // Head are whole.
        ...(drawn.kind === 'bars' ? { incrs: WHOLE } : {}),
      },
    ],
    series: [
      {},
      { stroke: accent, ...shape },
      ...(drawn.interval === undefined ? [] : [thin, thin]),
    ],
  };
}

/** Room for half a bar at both ends, and for a single one. */
function padded({ x, steps }: Drawn, least: number, most: number): [number, number] {
  const gap = x.length > 1 ? (most - least) / (x.length - 1) : (steps[0] ?? 1);
  return [least - gap, most + gap];
}

/** A chart, and beside it the same as a table for whoever reads figures or hears them. */
export function Chart({ drawn, children }: { drawn: Drawn; children: ComponentChildren }) {
  const box = useRef<HTMLDivElement>(null);
  const dressed = look.value;
  useEffect(() => {
    const into = box.current;
    if (into === null) return undefined;
    const { x, y, interval } = drawn;
    const more = interval === undefined ? [] : [interval.low, interval.high];
    const plot = new uPlot(options(drawn, into.clientWidth), [x, y, ...more], into);
    const sized = new ResizeObserver(() => {
      plot.setSize({ width: into.clientWidth, height: HIGH });
    });
    sized.observe(into);
    return () => {
      sized.disconnect();
      plot.destroy();
    };
  }, [drawn, dressed]);
  return (
    <figure class="chart">
      <figcaption>{drawn.title}</figcaption>
      <div ref={box} role="img" aria-label={drawn.title} />
      <details>
        <summary>{words.table}</summary>
        <div class="wide" tabIndex={0}>
          {children}
        </div>
      </details>
    </figure>
  );
}

/** Columns by their heads; the cells may be words or figures. */
export function Table({ heads, rows }: { heads: string[]; rows: (string | number)[][] }) {
  return (
    <table>
      <thead>
        <tr>
          {heads.map((head) => (
            <th scope="col" key={head}>
              {head}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map((cells, i) => (
          <tr key={i}>
            {cells.map((cell, at) => (
              <td key={at}>{cell}</td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}
