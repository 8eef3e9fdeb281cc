/** The campaign's tables, in Markdown. */
import type { Done } from './campaign.ts';

/** Upper 95 % bound on a share of which none was seen (rule of three). */
const RULE_OF_THREE = 3;

function grouped<T>(list: readonly T[], key: (one: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const one of list) {
    const group = groups.get(key(one));
    if (group === undefined) groups.set(key(one), [one]);
    else group.push(one);
  }
  return groups;
}

const sum = (numbers: readonly number[]): number => numbers.reduce((a, b) => a + b, 0);
const most = (numbers: readonly number[]): number => numbers.reduce((a, b) => Math.max(a, b), 0);

function median(numbers: readonly number[]): number {
  return [...numbers].sort((a, b) => a - b)[Math.floor(numbers.length / 2)] ?? 0;
}

function table(head: readonly string[], rows: readonly string[][]): string {
  const line = (cells: readonly string[]): string => `| ${cells.join(' | ')} |\n`;
  return line(head) + line(head.map(() => '---')) + rows.map(line).join('');
}

/** Seeds that show it again, at most three. */
function seeds(list: readonly Done[]): string {
  const harmed = list.filter((d) => d.outcome.harms.length > 0);
  return harmed
    .slice(0, 3)
    .map((d) => d.seed)
    .join(', ');
}

function animalsTable(list: readonly Done[], key: (one: Done) => string): string {
  const rows = [...grouped(list, key)].map(([name, group]) => {
    const animals = sum(group.map((d) => d.outcome.animals));
    const harms = group.flatMap((d) => d.outcome.harms);
    const hours = sum(group.map((d) => d.outcome.simulatedMs)) / 3_600_000;
    const bound = harms.length === 0 ? (RULE_OF_THREE / animals).toExponential(1) : '';
    const mm = most(harms.map((h) => h.mm)).toFixed(0);
    return [name, `${animals}`, hours.toFixed(1), `${harms.length}`, mm, bound, seeds(group)];
  });
  const head = ['', 'animals', 'hours simulated', 'harm', 'most mm', '95 % bound', 'seeds'];
  return table(head, rows);
}

const motion = (list: readonly { ms: number; mm: number }[]): string =>
  `${most(list.map((m) => m.ms)).toFixed(0)} / ${most(list.map((m) => m.mm)).toFixed(0)}`;

function faultRow(fault: string, group: readonly Done[]): string[] {
  const injected = group.filter((d) => d.outcome.injectedAt !== null);
  const outcomes = injected.map((d) => d.outcome);
  const named = outcomes.flatMap((o) => (o.named === null ? [] : [o.named]));
  const names = [...grouped(named, (n) => n.fault)].sort((a, b) => b[1].length - a[1].length);
  const harmed = outcomes.filter((o) => o.harms.length > 0);
  const moved = harmed.filter((o) => o.harms.some((h) => h.mm > 0));
  const within =
    named.length === 0
      ? 'never'
      : `${median(named.map((n) => n.afterMs))} / ${most(named.map((n) => n.afterMs))} ms, ` +
        `${most(named.map((n) => n.animals))}`;
  return [
    fault,
    `${injected.length}`,
    `${harmed.length}`,
    `${moved.length}`,
    most(harmed.flatMap((o) => o.harms.map((h) => h.mm))).toFixed(0),
    `${named.length}`,
    names.map(([name, all]) => `${name} ${all.length}`).join(', '),
    within,
    motion(outcomes.map((o) => o.unordered.before)),
    motion(outcomes.map((o) => o.unordered.after)),
    `${sum(outcomes.map((o) => o.astray))}`,
    seeds(injected),
  ];
}

const FAULT_HEAD = [
  'fault',
  'n',
  'harm',
  'of it moved',
  'most mm',
  'named',
  'as',
  'median / most, animals',
  'unordered before, ms / mm',
  'and after',
  'astray',
  'seeds',
];

/** All tables of what was run. */
export function report(done: readonly Done[]): string {
  const whole = done.filter((d) => d.fault === null);
  const plain = whole.filter((d) => d.beams === 'along' && d.unseen === null);
  const other = whole.filter((d) => !plain.includes(d));
  const faulty = done.filter((d) => d.fault !== null);
  const parts = [
    '### Without a fault\n\n',
    animalsTable(plain, (d) => d.gate),
    '\n',
    animalsTable(plain, () => 'all'),
    '\n### What no contact sees\n\n',
    animalsTable(other, (d) => (d.unseen === null ? `beams: ${d.beams}` : `${d.unseen} unseen`)),
  ];
  for (const [gate, group] of grouped(faulty, (d) => d.gate)) {
    const rows = [...grouped(group, (d) => d.fault ?? '')].map(([f, all]) => faultRow(f, all));
    parts.push(`\n### Single faults: ${gate}\n\n`, table(FAULT_HEAD, rows));
  }
  return parts.join('');
}
