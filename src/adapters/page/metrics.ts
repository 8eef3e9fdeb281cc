import type { Layout, Snapshot } from './messages.ts';

export interface Figures {
  snapshot: Snapshot | null;
  layout: Layout | null;
  /** Age of the snapshot, ms. */
  ageMs: number | null;
  streams: { open: number; sent: number; dropped: number };
  wrongPins: number;
}

type Line = [name: string, help: string, kind: 'gauge' | 'counter', values: [string, number][]];

/** A label's value as the text format wants it. */
function quoted(value: string): string {
  return `"${value.replaceAll('\\', '\\\\').replaceAll('"', '\\"').replaceAll('\n', '\\n')}"`;
}

function lines(figures: Figures): Line[] {
  const { snapshot, layout, ageMs, streams } = figures;
  const one = (value: number): [string, number][] => [['', value]];
  const all: Line[] = [
    ['fank_page_streams', 'Open live streams', 'gauge', one(streams.open)],
    ['fank_page_frames_sent_total', 'Live frames sent', 'counter', one(streams.sent)],
    [
      'fank_page_frames_dropped_total',
      'Frames a slow page missed',
      'counter',
      one(streams.dropped),
    ],
    ['fank_wrong_pins_total', 'Wrong PINs since start', 'counter', one(figures.wrongPins)],
  ];
  if (snapshot === null) return all;
  const heads = (layout?.lots ?? []).map((lot, at): [string, number] => [
    `{lot=${quoted(lot.name)}}`,
    snapshot.head[at] ?? 0,
  ]);
  const links = Object.entries(snapshot.links).map(([name, up]): [string, number] => [
    `{link=${quoted(name)}}`,
    up ? 1 : 0,
  ]);
  all.push(
    ['fank_snapshot_age_seconds', 'Age of the daemon state', 'gauge', one((ageMs ?? 0) / 1000)],
    ['fank_running', '1 while sorting', 'gauge', one(snapshot.mode === 'running' ? 1 : 0)],
    ['fank_faults', 'Faults that are on', 'gauge', one(snapshot.faults.length)],
    ['fank_lot_head', 'Head in the lot this session', 'gauge', heads],
    ['fank_link_up', '1 while the link is up', 'gauge', links],
  );
  if (snapshot.volts !== null) {
    all.push(['fank_battery_volts', 'Battery', 'gauge', one(snapshot.volts)]);
  }
  return all;
}

/** The figures in the text format that Prometheus reads (version 0.0.4). */
export function metricsText(figures: Figures): string {
  return lines(figures)
    .map(([name, help, kind, values]) =>
      [
        `# HELP ${name} ${help}`,
        `# TYPE ${name} ${kind}`,
        ...values.map(([labels, value]) => `${name}${labels} ${String(value)}`),
      ].join('\n'),
    )
    .join('\n')
    .concat('\n');
}
