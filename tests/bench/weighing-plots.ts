/** Two plain line plots as SVG text. */

export interface Line {
  name: string;
  points: readonly (readonly [number, number])[];
}

export interface Axes {
  title: string;
  x: string;
  y: string;
  xMax: number;
  yMax: number;
}

const WIDTH = 640;
const HEIGHT = 360;
const LEFT = 60;
const BOTTOM = 310;
const COLOURS = [
  '#1b6ca8',
  '#b5452c',
  '#3a7d44',
  '#7a4fa3',
  '#8a6d1d',
  '#4d4d4d',
  '#c2185b',
  '#00796b',
];
const DASHES = ['', '6 3', '2 3', '8 3 2 3', '', '6 3', '2 3', '8 3 2 3'];

/** A plot from zero to the given ends, with five ticks an axis and the names at the right. */
export function plot(axes: Axes, lines: readonly Line[]): string {
  const x = (value: number): number => LEFT + (Math.min(value, axes.xMax) / axes.xMax) * 400;
  const y = (value: number): number => BOTTOM - (Math.min(value, axes.yMax) / axes.yMax) * 260;
  const ticks = [0, 0.25, 0.5, 0.75, 1].flatMap((share) => [
    text(x(share * axes.xMax), BOTTOM + 18, (share * axes.xMax).toFixed(2), 'middle'),
    text(LEFT - 8, y(share * axes.yMax) + 4, (share * axes.yMax).toFixed(2), 'end'),
  ]);
  const drawn = lines.flatMap((line, i) => {
    const points = line.points.map(([a, b]) => `${x(a).toFixed(1)},${y(b).toFixed(1)}`).join(' ');
    const style = `stroke="${COLOURS[i % 8] ?? ''}" stroke-dasharray="${DASHES[i % 8] ?? ''}"`;
    const row = 60 + i * 18;
    return [
      `<polyline fill="none" stroke-width="2" ${style} points="${points}"/>`,
      `<line x1="475" x2="500" y1="${String(row)}" y2="${String(row)}" stroke-width="2" ${style}/>`,
      text(506, row + 4, line.name, 'start'),
    ];
  });
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${String(WIDTH)} ${String(HEIGHT)}" font-family="sans-serif" font-size="12">`,
    `<rect width="100%" height="100%" fill="#fff"/>`,
    text(LEFT, 28, axes.title, 'start'),
    `<path d="M${String(LEFT)} 50V${String(BOTTOM)}H460" fill="none" stroke="#000"/>`,
    text(260, BOTTOM + 38, axes.x, 'middle'),
    text(LEFT, 44, axes.y, 'start'),
    ...ticks,
    ...drawn,
    '</svg>\n',
  ].join('\n');
}

function text(x: number, y: number, words: string, anchor: string): string {
  return `<text x="${x.toFixed(1)}" y="${y.toFixed(1)}" text-anchor="${anchor}">${words}</text>`;
}
