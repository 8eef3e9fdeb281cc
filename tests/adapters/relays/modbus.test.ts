import { afterEach, expect, test } from 'vitest';
import { modbusBench, until, type Bench } from './modbus-bench.ts';

let b: Bench;
afterEach(() => b.close());

const ALL_OFF = [false, false, false, false];

/** The board answers, and has been told of. */
async function up(options: { timeoutMs?: number } = {}): Promise<Bench> {
  b = await modbusBench(options);
  await until('the board is up', () => b.board.write({}));
  return b;
}

/** Asked for in every tick, as the loop does. */
async function on(levels: Record<string, boolean>): Promise<void> {
  await until('on', () => {
    b.board.write(levels);
    return b.coils[0] === true;
  });
}

test('all is off and read back before anything is taken, and the watchdog is set', async () => {
  b = await modbusBench();
  b.coils.fill(true);
  expect(b.board.write({ 'leafA.extend': true })).toBe(false);
  await until('up', () => b.board.write({}));
  expect(b.written[0]).toEqual(ALL_OFF);
  expect(b.coils).toEqual(ALL_OFF);
  expect(b.registers.get(64)).toBe(2);
});

test('inputs by name and polarity, volts by their register', async () => {
  await up();
  expect(b.board.read()).toEqual({ frontShut: true, laneClear: false, backShut: false });
  b.discretes = [false, true, false];
  await until('seen', () => b.board.read()?.['laneClear'] === true);
  expect(b.board.read()).toEqual({ frontShut: false, laneClear: true, backShut: true });
  await until('volts', () => b.board.volts() !== null);
  expect(b.board.volts()).toBeCloseTo(12.4, 6);
});

test('writes are never queued: the newest levels win', async () => {
  await up();
  b.written.length = 0;
  for (let i = 0; i < 51; i++) b.board.write({ 'leafA.extend': i % 2 === 0 });
  await until('on', () => b.coils[0] === true);
  await new Promise((resolve) => setTimeout(resolve, 100));
  expect(b.written).toEqual([[true, false, false, false]]);
});

test('what goes off goes first; what goes on waits until that was read back', async () => {
  await up();
  await on({ 'leafA.extend': true, 'leafB.retract': true });
  // As the loop does, in every tick; on a busy machine the board may be lost and found in between.
  await until('the other way', () => {
    b.board.write({ 'leafA.extend': false, 'leafA.retract': true, 'leafB.retract': true });
    return b.coils[1] === true;
  });
  const other = b.written.findIndex((levels) => levels[1] === true);
  expect(b.written[other - 1]?.slice(0, 3)).toEqual([false, false, false]);
  expect(b.written.some((levels) => levels[0] === true && levels[1] === true)).toBe(false);
});

test('from one coil off to the other on takes the dead time, also where answers to the off are lost', async () => {
  await up({ timeoutMs: 60 });
  for (const lost of [0, 1]) {
    await until('one way', () => {
      b.board.write({ 'leafA.extend': true, 'leafA.retract': false });
      return b.coils[0] === true;
    });
    let left = lost;
    b.spoil = (bytes) => (bytes[1] === 1 && left-- > 0 ? [] : [{ bytes, afterMs: 0 }]);
    b.changed.length = 0;
    const asked = performance.now();
    await until('the other way', () => {
      // As the core does: it counts from asking.
      const retract = performance.now() - asked >= 250;
      b.board.write({ 'leafA.extend': false, 'leafA.retract': retract });
      return b.coils[1] === true;
    });
    const off = b.changed.find(({ coil, on }) => coil === 0 && !on);
    const other = b.changed.find(({ coil, on }) => coil === 1 && on);
    expect((other?.at ?? 0) - (off?.at ?? 0)).toBeGreaterThanOrEqual(250);
  }
});

test('unplugged: inputs are gone after 100 ms, writes fail, and nothing comes back on by itself', async () => {
  await up();
  await on({ 'leafA.extend': true });
  b.unplug();
  const begin = performance.now();
  await until('no inputs', () => b.board.read() === null);
  expect(performance.now() - begin).toBeLessThan(300);
  await until('writes fail', () => !b.board.write({ 'leafA.extend': true }));
  // A write that was not confirmed in time may have been told first.
  await until('told', () => /does not answer within 250 ms.*A and B/.test(b.said.join()));
  b.written.length = 0;
  b.plugIn();
  await until('back', () => b.board.write({}));
  expect(b.written.length).toBeGreaterThan(0);
  expect(b.written.flat()).not.toContain(true);
  expect(b.coils).toEqual(ALL_OFF);
});

test('closing while the board is lost sends off once more, for a wire that is good again', async () => {
  await up({ timeoutMs: 60 });
  await on({ 'leafA.extend': true });
  b.unplug();
  await until('writes fail', () => !b.board.write({ 'leafA.extend': true }));
  // The wait before it is looked for again grows, so that closing falls into it.
  await until('looked for in vain', () => b.said.length > 1);
  b.plugIn();
  await b.board.close();
  expect(b.coils).toEqual(ALL_OFF);
});

test('a board without contacts leaves the rest of the program its time', async () => {
  b = await modbusBench({ contacts: false });
  await until('the board is up', () => b.board.write({}));
  expect(b.board.read()).toEqual({});
  let turns = 0;
  const begin = performance.now();
  await until('turns', () => (turns += 1) >= 20);
  expect(performance.now() - begin).toBeLessThan(400);
});

test('an on that is not read back is not tried again; off is, until it is read back', async () => {
  await up();
  b.written.length = 0;
  // From the on onwards, reading the coils back shows each the other way round.
  let dead = false;
  b.spoil = (answer) => {
    const bytes = Buffer.from(answer);
    if (bytes[1] === 15 && b.coils[2] === true) dead = true;
    if (dead && bytes[1] === 1)
      return [{ bytes: withBit(bytes, ~(bytes[3] ?? 0) & 0x0f), afterMs: 0 }];
    return [{ bytes, afterMs: 0 }];
  };
  b.board.write({ 'leafB.extend': true });
  await until('lost', () => !b.board.write({ 'leafB.extend': true }));
  await until('off again and again', () => b.written.length > 2, 15_000);
  expect(b.written.filter((one) => one.includes(true))).toHaveLength(1);
  expect(b.board.write({})).toBe(false);
  dead = false;
  await until('back', () => b.board.write({}));
  expect(b.said.join()).toContain('did not take');
});

test('one spoilt answer is asked for again; the board stays', async () => {
  await up();
  let left = 1;
  b.spoil = (answer) => {
    if (left-- > 0) answer[answer.length - 1] = (answer.at(-1) ?? 0) ^ 0xff;
    return [{ bytes: answer, afterMs: 0 }];
  };
  await until('spoilt', () => left < 0);
  await new Promise((resolve) => setTimeout(resolve, 60));
  expect(b.board.write({})).toBe(true);
  expect(b.said.join()).not.toContain('wrongly');
});

test('answers of another board, of another kind and refusals are no answers', async () => {
  for (const wrong of ['address', 'function', 'exception']) {
    await up();
    b.spoil = (answer) => {
      if (wrong === 'address') answer[0] = 9;
      if (wrong === 'function') answer[1] = 3;
      const bytes = wrong === 'exception' ? Buffer.from([7, (answer[1] ?? 0) | 0x80, 4]) : answer;
      return [{ bytes: sealed(bytes, wrong === 'exception' ? 3 : bytes.length - 2), afterMs: 0 }];
    };
    await until(`lost by a wrong ${wrong}`, () => !b.board.write({}));
    await until('inputs gone', () => b.board.read() === null);
    if (wrong !== 'exception') await b.close();
  }
});

test('an answer older than the question is not taken for it', async () => {
  await up({ timeoutMs: 60 });
  b.discretes = [true, true, true];
  await until('seen', () => b.board.read()?.['laneClear'] === true);
  // Every answer comes 90 ms late from now on: each would answer the question before.
  b.spoil = (bytes) => [{ bytes, afterMs: 90 }];
  b.discretes = [false, false, false];
  await until('gone', () => b.board.read() === null);
  for (let i = 0; i < 100; i++) {
    expect(b.board.read()?.['laneClear'] ?? false).toBe(false);
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  await until('lost', () => !b.board.write({}));
});

test('a second copy of an answer confirms nothing', async () => {
  await up();
  await on({ 'leafA.extend': true });
  b.spoil = (bytes) => [
    { bytes, afterMs: 0 },
    { bytes, afterMs: 1 },
  ];
  b.coils[0] = false;
  await until('the board is seen to have dropped it', () => !b.board.write({}));
});

function withBit(answer: Buffer, bits: number): Buffer {
  answer[3] = bits;
  return sealed(answer, answer.length - 2);
}

/** CRC-16/MODBUS: Modbus over Serial Line V1.02, section 2.5.1.2. */
function sealed(bytes: Buffer, length: number): Buffer {
  let crc = 0xffff;
  for (const byte of bytes.subarray(0, length)) {
    crc ^= byte;
    for (let i = 0; i < 8; i++) crc = crc & 1 ? (crc >> 1) ^ 0xa001 : crc >> 1;
  }
  return Buffer.from([...bytes.subarray(0, length), crc & 0xff, crc >> 8]);
}
