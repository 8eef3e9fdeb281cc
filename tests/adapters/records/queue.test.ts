import { describe, expect, it } from 'vitest';
import type { Queued, RowMessage, TraceMessage } from '../../../src/adapters/records/messages.ts';
import { openQueue, type Queue } from '../../../src/adapters/records/queue.ts';
import { letGo, wall } from './example.ts';

const LIMITS = { lines: 4, bytes: 100_000, rows: 2 };
const call: RowMessage = {
  kind: 'event',
  session: null,
  t: 0,
  event: { kind: 'call', reason: 'x' },
  wall: wall(0),
};

function line(t: number): TraceMessage {
  return { kind: 'line', record: { t, kg: 1 } };
}

function listened(queue: Queue): { heard: string[]; cuts: number } {
  const seen = { heard: [] as string[], cuts: 0 };
  queue.onLink((up, reason) => seen.heard.push(`${up ? 'up' : 'down'}: ${reason}`));
  queue.onCut(() => {
    seen.cuts += 1;
  });
  return seen;
}

describe('the queue to the records thread', () => {
  it('gives everything unanswered, in its order, to a thread that takes over', () => {
    const queue = openQueue();
    queue.connect(() => undefined);
    queue.line(line(0));
    queue.row(letGo(1));
    queue.line(line(20));
    queue.row(letGo(2));
    queue.rowsDone(2);
    const given: Queued<RowMessage | TraceMessage>[] = [];
    queue.connect((order) => given.push(order));
    expect(given.map(({ seq, message }) => [seq, message.kind])).toEqual([
      [1, 'line'],
      [3, 'line'],
      [4, 'crossing'],
    ]);
  });

  it('full: says so once, ends the trace there, and comes back when half is done', () => {
    const queue = openQueue(LIMITS);
    const seen = listened(queue);
    for (let t = 0; t < 6; t += 1) queue.line(line(t));
    expect(queue.waiting().lines).toBe(4);
    expect(seen.cuts).toBe(1);
    expect(seen.heard).toEqual([
      expect.stringContaining('down: Records not being saved: more lines'),
    ]);
    queue.linesDone(2);
    expect(seen.heard[1]).toContain('up:');
    queue.line(line(7));
    expect(queue.waiting().lines).toBe(2); // a trace with a hole is no trace
    queue.line({ kind: 'rotate', header: { trace: 1 } as never, state: {} });
    queue.line(line(0));
    expect(queue.waiting().lines).toBe(4);
  });

  it('always takes what was weighed, even when it is full; an event it leaves out', () => {
    const queue = openQueue(LIMITS);
    const seen = listened(queue);
    for (let animal = 1; animal <= 5; animal += 1) queue.row(letGo(animal));
    queue.row(call);
    expect(queue.waiting().rows).toBe(5);
    expect(seen.heard).toHaveLength(1);
  });

  it('calls a card that does not answer', () => {
    let now = 0;
    const queue = openQueue(LIMITS, () => now);
    const seen = listened(queue);
    queue.line(line(0));
    now = 29_000;
    queue.look();
    expect(seen.heard).toEqual([]);
    now = 31_000;
    queue.look();
    expect(seen.heard).toEqual([
      expect.stringContaining('down: Records not being saved: the card does not answer'),
    ]);
    queue.linesDone(1);
    queue.look();
    expect(seen.heard[1]).toContain('up:');
  });
});
