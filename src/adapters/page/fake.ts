import type { Command } from '../../core/trace.ts';
import type { CommandAnswer, Layout, Snapshot, Who } from './messages.ts';
import type { CommandHandler, Page } from './port.ts';

/** A page without a browser: keeps what it was told and presses buttons for a test. */
export interface FakePage extends Page {
  readonly snapshots: Snapshot[];
  readonly layouts: Layout[];
  press(command: Command, who?: Who): Promise<CommandAnswer>;
  setLink(up: boolean): void;
}

export function fakePage(): FakePage {
  const snapshots: Snapshot[] = [];
  const layouts: Layout[] = [];
  let handler: CommandHandler = () => Promise.resolve({ ok: false, reason: 'no handler' });
  let link: (up: boolean) => void = () => undefined;
  return {
    address: 'http://fake',
    port: 0,
    freshPins: null,
    snapshots,
    layouts,
    wants: () => true,
    publish: (snapshot) => void snapshots.push(snapshot),
    describe: (layout) => void layouts.push(layout),
    onCommand: (given) => {
      handler = given;
    },
    onLink: (given) => {
      link = given;
    },
    close: () => Promise.resolve(),
    press: (command, who = { role: 'operator', device: 1 }) => handler(command, who),
    setLink: (up) => {
      link(up);
    },
  };
}
