import type { Layout, LinkFigures, Snapshot } from './messages.ts';

export interface Figures {
  snapshot: Snapshot | null;
  layout: Layout | null;
  /** Age of the snapshot, ms. */
  ageMs: number | null;
  streams: { open: number; sent: number; dropped: number };
  wrongPins: number;
  links: LinkFigures[];
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
  all.push(...linkLines(figures.links));
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

/** Links of devices; a figure that is not known yet is left out. */
function linkLines(links: LinkFigures[]): Line[] {
  if (links.length === 0) return [];
  const each = (of: (link: LinkFigures) => number | null): [string, number][] =>
    links.flatMap((link) => {
      const value = of(link);
      return value === null ? [] : [[`{link=${quoted(link.link)}}`, value]];
    });
  const seconds = (ms: number | null): number | null => (ms === null ? null : ms / 1000);
  const all: Line[] = [
    ['fank_link_frames_per_second', 'Whole frames', 'gauge', each((one) => one.perSecond)],
    ['fank_link_noise_total', 'Not whole frames', 'counter', each((one) => one.noise)],
    ['fank_link_reopenings_total', 'Opened again', 'counter', each((one) => one.reopened)],
    [
      'fank_link_heard_age_seconds',
      'Since the last whole frame',
      'gauge',
      each((one) => seconds(one.heardAgeMs)),
    ],
    [
      'fank_link_since_loss_seconds',
      'Since the link was lost last',
      'gauge',
      each((one) => seconds(one.lostAgoMs)),
    ],
  ];
  return all.filter(([, , , values]) => values.length > 0);
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
