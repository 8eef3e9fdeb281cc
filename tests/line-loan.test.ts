import { expect, it } from 'vitest';
import type { Scale } from '../src/adapters/scale/port.ts';
import type { ListenOptions } from '../src/adapters/scan/listen.ts';
import type { FittingAnswer, FittingAsk } from '../src/fitting/view.ts';
import { openLoan, withLine, type LineLoan } from '../src/line-loan.ts';
import type { Loop } from '../src/loop.ts';

/** A loop that stands still unless told otherwise, and a port that says what is done with it. */
function bench(path: string | null = '/dev/ttyTEST') {
  const log: string[] = [];
  const race = { mode: 'stopped', why: null as string | null, tell: () => undefined as unknown };
  const loop = {
    whyNotReconfigure: () => race.why,
    arrive: (make: (t: number) => unknown) => log.push(JSON.stringify(make(7))),
    onEvents: (listener: () => void) => {
      race.tell = listener;
    },
    state: { cycle: race },
  } as unknown as Loop;
  const open = (): Scale => {
    log.push('open');
    return {
      close: () => Promise.resolve(void log.push('close')),
      health: () => ({}) as ReturnType<Scale['health']>,
    };
  };
  const listen = async ({ onTurn, onOpening, ask }: ListenOptions): Promise<void> => {
    onOpening({ baud: 9600, framing: '8N1' });
    log.push(ask === null ? 'listen' : `ask ${ask.send}`);
    while (!onTurn(0)) await new Promise((resolve) => setImmediate(resolve));
    log.push('listened');
  };
  return { log, race, line: openLoan({ loop, path, open, listen, now: () => 0 }) };
}

const DOWN = '{"t":7,"link":"scale","up":false}';
const LEND = { ask: 'lend', question: null } as const;
const ask = (line: LineLoan | null, asked: FittingAsk) =>
  withLine(line, () => Promise.resolve({ refused: null } as FittingAnswer))(asked);
const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

it('lends the line once, tells the core that the head is not heard, and opens it again', async () => {
  const { log, line } = bench();
  expect((await ask(line, LEND)).refused).toBeNull();
  await turn();
  expect(log).toEqual(['open', 'close', DOWN, 'listen']);
  expect(await ask(line, LEND)).toMatchObject({ refused: 'It is lent already.' });
  expect((await ask(line, { ask: 'heard', from: 0 })).line).toMatchObject({
    ...{ on: true, opening: '9600 8N1', text: [], trouble: null },
  });
  await ask(line, { ask: 'live' });
  await ask(line, { ask: 'back' });
  await ask(line, { ask: 'back' });
  expect(log.slice(4)).toEqual(['listened', 'open']);
  expect((await ask(line, { ask: 'heard', from: 0 })).line?.on).toBe(false);
  await ask(line, { ask: 'lend', question: { send: 'W', everyMs: 200 } });
  await turn();
  expect(log.at(-1)).toBe('ask W');
  await line.close();
});

it('lends nothing while the race runs or somebody is on the crate, or where there is no port', async () => {
  const { log, race, line } = bench();
  race.why = 'Stop first.';
  expect(await ask(line, LEND)).toEqual({ refused: 'Stop first.' });
  expect(log).toEqual(['open']);
  expect((await ask(bench(null).line, LEND)).refused).toContain('No serial port');
  expect((await ask(null, LEND)).refused).toContain('No serial port');
});

it('is taken back when the race starts, and not opened again once the service ends', async () => {
  const { log, race, line } = bench();
  await ask(line, LEND);
  await turn();
  race.tell();
  await turn();
  expect(log.at(-1)).toBe('listen');
  race.mode = 'homing';
  race.tell();
  await ask(line, { ask: 'back' });
  expect(log.slice(4)).toEqual(['listened', 'open']);
  race.mode = 'stopped';
  await ask(line, LEND);
  await turn();
  await line.close();
  line.back();
  expect(log.slice(6)).toEqual(['close', DOWN, 'listen', 'listened']);
});
