import type { AddressInfo } from 'node:net';
import { describe, expect, test } from 'vitest';
import { FAULTS } from '../../../src/core/faults/table.ts';
import type { Snapshot } from '../../../src/adapters/page/messages.ts';
import { layout, snapshot } from './sample.ts';
import { INSTALLER, OPERATOR, serve } from './served.ts';

describe('commands', () => {
  test('go to the daemon with who gave them, and its answer comes back', async () => {
    const served = await serve();
    const cookies = await served.signIn(OPERATOR);
    const send = (payload: object): Promise<{ statusCode: number; json(): unknown }> =>
      served.inject({ method: 'POST', url: '/api/command', payload, cookies });
    expect((await send({ do: 'exit', exit: 'left', animal: 7 })).json()).toEqual({ ok: true });
    served.answer = { ok: false, reason: 'Animal 7 has gone.' };
    const refused = await send({ do: 'exit', exit: 'left', animal: 7 });
    expect(refused.statusCode).toBe(409);
    expect(refused.json()).toEqual({ error: 'refused', reason: 'Animal 7 has gone.' });
    served.answer = null;
    expect((await send({ do: 'pause' })).statusCode).toBe(504);
    const who = { role: 'operator', device: 1 };
    expect(served.commands).toEqual([
      { command: { do: 'exit', exit: 'left', animal: 7 }, who },
      { command: { do: 'exit', exit: 'left', animal: 7 }, who },
      { command: { do: 'pause' }, who },
    ]);
  });

  test('the installer may do what the operator may', async () => {
    const served = await serve();
    const cookies = await served.signIn(INSTALLER);
    await served.inject({ method: 'POST', url: '/api/command', payload: { do: 'zero' }, cookies });
    expect(served.commands[0]?.who).toEqual({ role: 'installer', device: 1 });
  });
});

describe('manual control', () => {
  test('one device at a time; free again when its page is gone for half a minute', async () => {
    const served = await serve();
    const first = await served.signIn(OPERATOR);
    const second = await served.signIn(OPERATOR);
    const start = { method: 'POST', url: '/api/command', payload: { do: 'start' } } as const;
    const by = async (cookies: Record<string, string>, more: object = {}): Promise<number> =>
      (await served.inject({ ...start, ...more, cookies })).statusCode;
    expect(await by(first)).toBe(200);
    expect(await by(second)).toBe(409);
    expect(await by(second, { payload: { do: 'pause' } })).toBe(200);
    served.time.mono += 29_000;
    expect(await by(second)).toBe(409);
    served.time.mono += 2000;
    expect(await by(second)).toBe(200);
    expect(await by(first)).toBe(409);
    expect(await by(first, { url: '/api/control', payload: { take: true } })).toBe(200);
    expect(await by(first)).toBe(200);
    expect(await by(second)).toBe(409);
    await served.inject({ method: 'POST', url: '/api/sign-out', cookies: first });
    expect(await by(second)).toBe(200);
  });
});

describe('looking', () => {
  test('the last snapshot with its age; unhealthy while there is none, or it is old', async () => {
    const served = await serve();
    expect((await served.inject({ url: '/healthz' })).statusCode).toBe(503);
    served.page.describe(layout);
    served.page.show(snapshot({ seq: 5 }));
    served.time.mono += 300;
    expect((await served.inject({ url: '/healthz' })).json()).toMatchObject({
      ok: true,
      ageMs: 300,
    });
    const now = (await served.inject({ url: '/api/now' })).json<{ now: object }>();
    expect(now.now).toMatchObject({ seq: 5, ageMs: 300, control: null });
    served.time.mono += 1700;
    expect((await served.inject({ url: '/healthz' })).statusCode).toBe(503);
  });

  test('idle only where nothing is on the crate, moves, or may begin to', async () => {
    const served = await serve();
    const idle = async (now: Partial<Snapshot>): Promise<unknown> => {
      served.page.show(snapshot(now));
      return (await served.inject({ url: '/healthz' })).json<{ idle: boolean }>().idle;
    };
    served.page.describe(layout);
    expect((await served.inject({ url: '/healthz' })).json()).toMatchObject({ idle: false });
    const still = snapshot({}).leaves.map((leaf) => ({ ...leaf, moving: null }));
    const weight = { kg: 0, ageMs: 20, u95Kg: null, state: 'empty' } as const;
    const empty = { animal: null, leaves: still, weight };
    expect(await idle({ mode: 'stopped', ...empty })).toBe(true);
    expect(await idle({ mode: 'fault', ...empty })).toBe(true);
    expect(await idle({ mode: 'running', ...empty })).toBe(false);
    expect(await idle({ mode: 'paused', ...empty })).toBe(false);
    expect(
      await idle({
        mode: 'stopped',
        ...empty,
        animal: { number: 3, tag: null, marks: [], held: null },
      }),
    ).toBe(false);
    // One that came on while stopped is no animal of the race yet.
    for (const state of ['weighing', 'leaving', 'no-zero'] as const) {
      const on = { ...weight, state };
      expect(await idle({ mode: 'stopped', ...empty, weight: on }), state).toBe(false);
    }
    const silent = { kg: null, ageMs: null, u95Kg: null, state: 'none' } as const;
    expect(await idle({ mode: 'stopped', ...empty, weight: silent })).toBe(true);
    const moving = still.map((leaf) => ({ ...leaf, moving: 'extend' as const }));
    expect(await idle({ mode: 'stopped', ...empty, leaves: moving })).toBe(false);
  });

  test('every fault is told with what happened, why, and what to do', async () => {
    const served = await serve();
    expect((await served.inject({ url: '/api/faults' })).json()).toEqual(FAULTS);
  });

  test('OpenAPI 3.1 names every door, and which bodies it takes', async () => {
    const served = await serve();
    const api = (await served.inject({ url: '/api/openapi.json' })).json<{
      openapi: string;
      paths: Record<string, Record<string, { requestBody?: object }>>;
    }>();
    expect(api.openapi).toBe('3.1.0');
    for (const path of ['/api/command', '/api/sign-in', '/api/control']) {
      expect(api.paths[path]?.['post']?.requestBody, path).toBeDefined();
    }
    for (const path of ['/api/stop', '/api/live', '/api/now', '/healthz', '/metrics']) {
      expect(api.paths[path], path).toBeDefined();
    }
  });

  test('figures in the text format of Prometheus, lot names quoted', async () => {
    const served = await serve();
    const lots = layout.lots.map((lot, at) => (at === 0 ? { ...lot, name: 'a"\\\nb' } : lot));
    served.page.describe({ ...layout, lots });
    served.page.show(snapshot({ mode: 'running', head: [4, 5, 6] }));
    const { body, headers } = await served.inject({ url: '/metrics' });
    expect(headers['content-type']).toContain('version=0.0.4');
    expect(body).toContain('fank_running 1\n');
    expect(body).toContain('fank_lot_head{lot="a\\"\\\\\\nb"} 4\n');
    for (const line of body.trimEnd().split('\n')) {
      expect(line).toMatch(/^(# (HELP|TYPE) \w+ .+|\w+(\{.+\})? -?[\d.]+)$/);
    }
  });
});

describe('the live snapshot', () => {
  test('is 2 KB at most, whatever is said: words are cut, what is worked with stays', async () => {
    const served = await serve();
    served.page.describe(layout);
    const long = 'ü'.repeat(400);
    served.page.show(
      snapshot({
        why: long,
        refused: long,
        decision: { lot: 'Fit', exit: 'ahead', rule: 'sure', reason: long, spray: null },
        faults: Array.from({ length: 9 }, () => ({ name: 'stop-pressed', detail: long }) as const),
        last: Array.from({ length: 4 }, (_, animal) => ({
          animal,
          kg: 41.23,
          lot: long,
          exit: 'ahead',
          unsure: false,
          saved: false,
        })),
        letGo: 'ahead',
      }),
    );
    const { now } = (await served.inject({ url: '/api/now' })).json<{ now: object }>();
    expect(Buffer.byteLength(JSON.stringify(now))).toBeLessThanOrEqual(2048);
    expect(now).toMatchObject({ letGo: 'ahead', decision: { lot: 'Fit', exit: 'ahead' } });
  });

  test('a stream begins with the layout and what is known, and goes on with what comes', async () => {
    const served = await serve();
    await served.page.app.listen({ host: '127.0.0.1', port: 0 });
    const { port } = served.page.app.server.address() as AddressInfo;
    served.page.describe(layout);
    served.page.show(snapshot({ seq: 1 }));
    const stream = await fetch(`http://127.0.0.1:${port}/api/live`);
    expect(stream.headers.get('content-type')).toContain('text/event-stream');
    const reader = (stream.body as ReadableStream<Uint8Array>).getReader();
    let text = '';
    const until = async (wanted: string): Promise<void> => {
      while (!text.includes(wanted)) {
        const { value, done } = await reader.read();
        if (done) throw new Error(`ended before ${wanted}`);
        text += Buffer.from(value).toString();
      }
    };
    await until('"seq":1');
    expect(text.indexOf('event: layout')).toBeLessThan(text.indexOf('event: now'));
    served.page.show(snapshot({ seq: 2 }));
    await until('"seq":2');
    served.page.describe({ ...layout, id: 2, plan: 'Other' });
    served.page.show(snapshot({ seq: 3, layout: 2 }));
    await until('"seq":3');
    expect(text.indexOf('"plan":"Other"')).toBeLessThan(text.indexOf('"seq":3'));
    served.page.beat();
    await until('event: beat');
    await reader.cancel();
  });
});
