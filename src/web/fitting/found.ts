/** What was found of an item, in words. */
import type { Ask } from '../../fitting/steps.ts';
import type { ItemView } from '../../fitting/view.ts';
import { exitName } from '../say.ts';
import { fittingWords as words } from '../words/fitting.ts';
import { inputName } from './Lamps.tsx';

function unitOf(ask: Ask): string {
  const { units } = words;
  switch (ask.kind) {
    case 'figure':
      return units[ask.unit];
    case 'travel':
    case 'stopped':
    case 'drop-out':
      return units.ms;
    case 'mass':
    case 'zero':
      return units.kg;
    case 'readings':
      return units.perSecond;
    case 'quiet':
      return units.minutes;
    default:
      return '';
  }
}

export function foundText(item: ItemView): string {
  const volts = item.result?.volts;
  const found = valueText(item);
  return volts === undefined ? found : `${found}, ${rounded(volts)} ${words.units.V}`;
}

function valueText({ ask, result }: ItemView): string {
  if (result === null) return '';
  const { value } = result;
  if (Array.isArray(value)) {
    if (ask.kind === 'reboots') return `${String(value.length)} / ${String(ask.count)}`;
    return `${value.map((one) => (one === null ? '–' : rounded(one))).join(', ')} ${unitOf(ask)}`;
  }
  if (ask.kind === 'exit' && typeof value === 'string') return exitName(value);
  if (ask.kind === 'quiet' && value !== 'none') return inputName(String(value));
  return words.found[String(value)] ?? String(value);
}

function rounded(value: number): string {
  return String(Math.round(value * 100) / 100);
}

export function remedyOf({ ask, result }: ItemView): string {
  if (ask.kind === 'travel' && ask.battery !== undefined && result?.volts !== undefined) {
    const [ms] = Array.isArray(result.value) ? result.value : [];
    const inTime = typeof ms === 'number' && ms <= ask.mostMs;
    // In time, so it is the voltage that was not the one asked for.
    if (inTime) return words.otherVolts(rounded(result.volts), rounded(ask.battery.volts));
  }
  return words.remedy[ask.kind] ?? '';
}

/** The limit of a figure, with its source, or ''. */
export function limitText(ask: Ask): string {
  if (ask.kind === 'travel') {
    const [least, most] = [String(ask.leastMs), String(ask.mostMs)];
    const limit = `${words.limit.least} ${least}, ${words.limit.most} ${most} ${words.units.ms}`;
    return ask.battery === undefined ? limit : `${limit}, ${words.atVolts(ask.battery.volts)}`;
  }
  if (ask.kind !== 'figure') return '';
  const { least, most, orMost } = ask.limit;
  const unit = words.units[ask.unit];
  const parts = [
    ...(least === undefined ? [] : [`${words.limit.least} ${String(least)} ${unit}`]),
    ...(most === undefined ? [] : [`${words.limit.most} ${String(most)} ${unit}`]),
    ...(orMost === undefined ? [] : [`${words.limit.orMost} ${String(orMost)} ${unit}`]),
  ];
  return `${parts.join(' ')} (${ask.source})`;
}
