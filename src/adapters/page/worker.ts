/** Entry of the page thread. */
import { performance } from 'node:perf_hooks';
import { parentPort, workerData } from 'node:worker_threads';
import type { SiteChange } from '../../config/site-change.ts';
import type { Command } from '../../core/trace.ts';
import type { SessionOrder } from '../session.ts';
import { buildApp, type PageApp } from './app.ts';
import { lateBook } from './book.ts';
import type { CommandAnswer, FromPage, PageThreadData, ToPage, Who } from './messages.ts';
import type { FittingAnswer, FittingAsk } from '../../fitting/view.ts';
import { openSecrets } from './secrets.ts';
import { openSessions } from './sessions.ts';
import { sharedMs } from './shared-clock.ts';

/** The daemon answers a command within a tick or two; after this it is not there, ms. */
const ANSWER_MS = 2000;
/** A change is written to the card first, ms. */
const WRITTEN_MS = 10_000;
const BEAT_MS = 1000;

if (parentPort === null) throw new Error('This is the page thread of Fank: run "npx fank run"');
const port = parentPort;
const data = workerData as PageThreadData;
const waiting = new Map<number, (answer: unknown) => void>();
let lastId = 0;

function tell(message: FromPage): void {
  port.postMessage(message);
}

function command(given: Command, who: Who, withinMs?: number): Promise<CommandAnswer | null> {
  const untilMs = withinMs === undefined ? null : sharedMs() + withinMs;
  return ask(ANSWER_MS, (id) => ({ kind: 'command', id, command: given, who, untilMs }));
}

function order(given: SessionOrder, who: Who): Promise<CommandAnswer | null> {
  return ask(ANSWER_MS, (id) => ({ kind: 'order', id, order: given, who }));
}

function change(given: SiteChange): Promise<CommandAnswer | null> {
  return ask(WRITTEN_MS, (id) => ({ kind: 'change', id, change: given }));
}

function fitting(asked: FittingAsk): Promise<FittingAnswer | null> {
  return ask(WRITTEN_MS, (id) => ({ kind: 'fitting', id, ask: asked }));
}

function ask<T>(withinMs: number, order: (id: number) => FromPage): Promise<T | null> {
  const id = ++lastId;
  return new Promise((resolve) => {
    const late = setTimeout(() => waiting.get(id)?.(null), withinMs);
    waiting.set(id, (answer) => {
      clearTimeout(late);
      waiting.delete(id);
      resolve(answer as T | null);
    });
    tell(order(id));
  });
}

function listen(page: PageApp, beat: NodeJS.Timeout): void {
  port.on('message', (message: ToPage) => {
    switch (message.kind) {
      case 'snapshot':
        page.show(message.snapshot);
        tell({ kind: 'taken', seq: message.snapshot.seq });
        break;
      case 'layout':
        page.describe(message.layout);
        break;
      case 'links':
        page.hear(message.links);
        break;
      case 'session':
        page.tellSession(message.session);
        break;
      case 'answer':
      case 'fitting':
        waiting.get(message.id)?.(message.answer);
        break;
      case 'close':
        clearInterval(beat);
        void page.app.close().then(() => {
          tell({ kind: 'closed' });
          port.close();
        });
        break;
    }
  });
}

function whyNot(error: unknown): string {
  const code = (error as NodeJS.ErrnoException).code;
  const where = `port ${String(data.port)} of ${data.host}`;
  if (code === 'EADDRINUSE') {
    return `The page cannot use ${where}: another program has it. End that one, or choose another with --port`;
  }
  if (code === 'EACCES') {
    return `The page may not use ${where}. Choose one of 1024 or more with --port`;
  }
  return `The page cannot start: ${error instanceof Error ? error.message : String(error)}`;
}

async function main(): Promise<void> {
  const { secrets, freshPins } = await openSecrets(data.siteDir);
  const page = await buildApp({
    data,
    secrets,
    sessions: openSessions(data.siteDir, data.zone),
    clock: { wall: () => Date.now(), mono: () => performance.now() },
    command,
    order,
    change,
    fitting,
    book: lateBook(data.bookModule, data.siteDir),
  });
  const address = await page.app.listen({ host: data.host, port: data.port });
  const beat = setInterval(() => {
    page.beat();
  }, BEAT_MS);
  listen(page, beat);
  const bound = page.app.server.address();
  const boundPort = bound !== null && typeof bound === 'object' ? bound.port : data.port;
  tell({ kind: 'ready', address, port: boundPort, freshPins });
}

main().catch((error: unknown) => {
  tell({ kind: 'failed', reason: whyNot(error) });
});
