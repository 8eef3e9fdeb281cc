import { useEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import 'uplot/dist/uPlot.min.css';
import type { Span } from '../../adapters/page/workshop/spans.ts';
import { look } from '../look.ts';
import { workshopWords as words } from '../words/workshop.ts';
import { timeText } from './say.ts';
import type { Trace } from './state.ts';

const HIGH = 240;
/** Room for the figures at the left; the lanes below keep the same. */
const LEFT = 46;
const STEPS = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200];

interface Ears {
  onSelect: (window: Span) => void;
  onPoint: (t: number) => void;
}

function options(shown: Trace, width: number, ears: Ears): uPlot.Options {
  const style = getComputedStyle(document.documentElement);
  const colour = (name: string): string => style.getPropertyValue(name).trim();
  const [ink, soft, accent] = [colour('--ink'), colour('--soft'), colour('--accent')];
  const axis = { stroke: ink, font: '14px system-ui, sans-serif', ticks: { stroke: soft } };
  const line = { stroke: accent, width: 2, points: { show: false } };
  const [from, to] = shown.window;
  return {
    width,
    height: HIGH,
    padding: [8, 0, 0, 0],
    legend: { show: false },
    cursor: { y: false, points: { show: false }, drag: { x: true, y: false, setScale: false } },
    scales: { x: { time: false, range: () => [from / 1000, to / 1000] } },
    axes: [
      {
        ...axis,
        grid: { stroke: soft, width: 0.5 },
        incrs: STEPS,
        space: 90,
        values: (_u, splits) => splits.map((s) => timeText(shown, s * 1000)),
      },
      { ...axis, grid: { stroke: soft, width: 0.5 }, size: LEFT },
    ],
    series: [{}, line, line],
    bands: [{ series: [2, 1], fill: accent }],
    hooks: {
      draw: [
        (plot) => {
          drawMarks(plot, shown, { ink, accent, bad: colour('--bad'), paper: colour('--paper') });
        },
      ],
      setSelect: [
        (plot) => {
          const { left, width: wide } = plot.select;
          if (wide < 8) return;
          const at = (x: number): number => Math.round(plot.posToVal(x, 'x') * 1000);
          ears.onSelect([Math.max(0, at(left)), at(left + wide)]);
        },
      ],
    },
  };
}

/** Decisions as rings at their weight, letting go as points, faults as lines from top to bottom. */
function drawMarks(plot: uPlot, { marks }: Trace, inks: Record<string, string>): void {
  const { ctx, bbox } = plot;
  const size = 5 * devicePixelRatio;
  ctx.save();
  ctx.lineWidth = 2 * devicePixelRatio;
  for (const { t, kind, kg } of marks) {
    const x = plot.valToPos(t / 1000, 'x', true);
    ctx.strokeStyle = kind === 'fault' ? (inks['bad'] ?? '') : (inks['ink'] ?? '');
    ctx.beginPath();
    if (kind === 'fault' || kind === 'stroke-cut') {
      ctx.setLineDash([]);
      ctx.moveTo(x, bbox.top);
      ctx.lineTo(x, bbox.top + bbox.height);
      ctx.stroke();
    } else if (kg !== null && (kind === 'decided' || kind === 'let-go')) {
      ctx.fillStyle = (kind === 'let-go' ? inks['ink'] : inks['paper']) ?? '';
      ctx.arc(x, plot.valToPos(kg, 'y', true), size, 0, 2 * Math.PI);
      ctx.fill();
      ctx.stroke();
    }
  }
  ctx.restore();
}

/** Weight over time. A finger or the mouse chooses a moment; the mouse draws a window to go closer. */
export function TraceChart({ shown, onSelect, onPoint }: { shown: Trace } & Ears) {
  const box = useRef<HTMLDivElement>(null);
  const dressed = look.value;
  useEffect(() => {
    const into = box.current;
    if (into === null) return undefined;
    const { t, low, high } = shown.weight;
    const data: uPlot.AlignedData = [t.map((ms) => ms / 1000), low, high];
    const ears = { onSelect, onPoint };
    const plot = new uPlot(options(shown, into.clientWidth, ears), data, into);
    const choose = (): void => {
      const { left } = plot.cursor;
      if (left !== undefined && left >= 0) onPoint(Math.round(plot.posToVal(left, 'x') * 1000));
    };
    plot.over.addEventListener('click', choose);
    const sized = new ResizeObserver(() => {
      plot.setSize({ width: into.clientWidth, height: HIGH });
    });
    sized.observe(into);
    return () => {
      sized.disconnect();
      plot.destroy();
    };
    // The ears are made anew at each drawing of the sheet and always do the same for one trace.
  }, [shown, dressed]);
  return <div ref={box} class="weight" role="img" aria-label={words.chart} />;
}
