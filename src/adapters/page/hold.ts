/**
 * Hold-to-run: a leaf moves while a finger holds a button. Each renewal echoes a nonce of ours that is
 * young and used once, so that it was sent by somebody who held on a moment ago; what a choked line
 * delivers late moves nothing.
 */
import { randomBytes } from 'node:crypto';
import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import type { Shared } from './app.ts';
import { held, holdBody, refusals, type Held } from './contracts.ts';
import { refuse } from './guard.ts';

/**
 * Oldest nonce that is taken, ms. With the 150 ms that the interlock gives a renewal and a tick that
 * may be 20 ms late, the output is off within 400 ms of the last true touch.
 */
const NONCE_MS = 220;

interface Press {
  press: number;
  device: number;
  output: string;
  nonce: string;
  issuedMs: number;
}

/** The one press under way: a new one ends the one before, whoever's it was. */
export interface Presses {
  /** A new press; nothing moves before its first renewal. */
  begin(device: number, output: string, nowMs: number): Held;
  /**
   * Takes an echoed nonce: the output that is held and how long this word may still travel, ms. Null
   * where the press has ended; it ends here where the nonce is old or was used before.
   */
  renew(
    device: number,
    given: Held,
    nowMs: number,
  ): { output: string; withinMs: number; next: (nowMs: number) => Held | null } | null;
  end(): void;
}

/** @param firstPress a number that no earlier start of the page has used */
export function createPresses(firstPress: number): Presses {
  let lastPress = firstPress;
  let going: Press | null = null;
  const issue = (press: Omit<Press, 'nonce' | 'issuedMs'>, nowMs: number): Held => {
    going = { ...press, nonce: randomBytes(9).toString('base64url'), issuedMs: nowMs };
    return { press: going.press, nonce: going.nonce };
  };
  return {
    begin(device, output, nowMs) {
      lastPress++;
      return issue({ press: lastPress, device, output }, nowMs);
    },
    renew(device, given, nowMs) {
      const now = going;
      if (now === null || now.press !== given.press) return null;
      going = null;
      const ageMs = nowMs - now.issuedMs;
      if (now.device !== device || now.nonce !== given.nonce || ageMs > NONCE_MS) return null;
      // Between this renewal and the next nonce a new press may have begun: it goes before.
      const next = (atMs: number): Held | null =>
        going === null && lastPress === now.press ? issue(now, atMs) : null;
      return { output: now.output, withinMs: NONCE_MS - ageMs, next };
    },
    end() {
      going = null;
      lastPress++;
    },
  };
}

const OVER = 'The press has ended: let go, look, and press again';
const NO_ANSWER = 'Fank did not answer. If something moves, press the emergency stop';

// eslint-disable-next-line @typescript-eslint/require-await -- fastify's plugin shape
export async function holdRoutes(plain: FastifyInstance, shared: Shared): Promise<void> {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  const { clock, control, live, presses } = shared;

  app.post(
    '/api/hold',
    {
      // A finger renews some fifteen times a second.
      config: { access: 'installer', rateLimit: false },
      schema: { body: holdBody, response: { 200: held, ...refusals } },
    },
    async (request, reply) => {
      const session = request.session;
      if (session === null) throw new Error('The guard let a press without a session through');
      const { device, role } = session;
      const { body } = request;
      const nowMs = clock.mono();
      const holder = control.holder(live.devices(), nowMs);
      if (!control.use(device, nowMs)) {
        return refuse(reply, 409, {
          error: 'held-by-other',
          reason: `Phone ${String(holder?.device)} has the controls: take them over first`,
          ...(holder === null ? {} : { device: holder.device }),
        });
      }
      if ('output' in body) return presses.begin(device, body.output, nowMs);
      const renewed = presses.renew(device, body, nowMs);
      if (renewed === null) return refuse(reply, 409, { error: 'refused', reason: OVER });
      const { output, withinMs } = renewed;
      const command = { do: 'hold', output, press: body.press } as const;
      const answer = await shared.command(command, { role, device }, withinMs);
      if (answer === null) return refuse(reply, 504, { error: 'no-answer', reason: NO_ANSWER });
      if (!answer.ok) {
        return refuse(reply, 409, { error: 'refused', reason: answer.reason ?? OVER });
      }
      const next = renewed.next(clock.mono());
      return next ?? refuse(reply, 409, { error: 'refused', reason: OVER });
    },
  );
}
