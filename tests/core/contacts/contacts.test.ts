import { describe, expect, it } from 'vitest';
import {
  contacts,
  initial,
  isButton,
  isSafetyContact,
  type ContactsConfig,
  type ContactsResult,
  type ContactsState,
} from '../../../src/core/contacts/contacts.ts';
import type { Input } from '../../../src/core/trace.ts';

const CONFIG: ContactsConfig = {
  inputs: ['frontShut', 'backShut', 'startButton'],
  debounceMs: 40,
  times: { sampleLifeMs: 100, chatterMs: 1000 },
};

/** One set of contacts and what was last seen of it. */
class Bench {
  state: ContactsState = initial(CONFIG);
  result: ContactsResult = { fresh: false, linkUp: true, contacts: {}, chattering: [] };

  give(input: Input): this {
    const { state, result } = contacts(CONFIG, this.state, input);
    this.state = JSON.parse(JSON.stringify(state)) as ContactsState;
    this.result = result;
    return this;
  }
  tick(t: number): this {
    return this.give({ t, tick: true });
  }
  set(t: number, input: string, on: boolean): this {
    return this.give({ t, input, on });
  }
  of(name: string) {
    return this.result.contacts[name];
  }
}

describe('names', () => {
  it.each(['frontShut', 'stopLoop', 'actuatorPower', 'laneClear', 'laneClear.left'])(
    '%s permits motion by being on',
    (name) => expect(isSafetyContact(name)).toBe(true),
  );
  it.each(['backShut', 'handsOff', 'leafA.extended', 'laneClearing', 'startButton', 'xlaneClear.'])(
    '%s does not',
    (name) => expect(isSafetyContact(name)).toBe(false),
  );
  it.each(['startButton', 'pauseButton', 'exitButton.left', 'undoButton'])(
    '%s is a button',
    (name) => expect(isButton(name)).toBe(true),
  );
  it.each(['frontShut', 'Buttonless', 'left.exitButton.x', 'leafA.extended'])(
    '%s is none',
    (name) => expect(isButton(name)).toBe(false),
  );
});

describe('before anything was seen', () => {
  it('every fitted contact is off and has never changed', () => {
    expect(initial(CONFIG)).toEqual({
      inputs: Object.fromEntries(
        CONFIG.inputs.map((name) => [
          name,
          { raw: false, rawAt: null, level: false, levelAt: null, changesAt: [] },
        ]),
      ),
      linkUp: true,
      sampledAt: null,
    });
    const off = { raw: false, level: false, since: null, rose: false, fell: false };
    const { result } = new Bench().tick(0);
    expect(result.contacts).toEqual({ frontShut: off, backShut: off, startButton: off });
    expect(result.chattering).toEqual([]);
  });
});

describe('a safety contact', () => {
  it('rises only when it has been on for the debounce time', () => {
    const b = new Bench().tick(0).set(100, 'frontShut', true);
    expect(b.of('frontShut')).toMatchObject({ raw: true, level: false, rose: false });
    expect(b.tick(139).of('frontShut')).toMatchObject({ level: false, since: null });
    const up = { raw: true, level: true, since: 140, rose: true, fell: false };
    expect(b.tick(140).of('frontShut')).toEqual(up);
    expect(b.tick(160).of('frontShut')).toMatchObject({ level: true, since: 140, rose: false });
  });

  it('falls on the first sample', () => {
    const b = new Bench().set(0, 'frontShut', true).tick(40).set(200, 'frontShut', false);
    const down = { raw: false, level: false, since: 200, rose: false, fell: true };
    expect(b.of('frontShut')).toEqual(down);
    expect(b.tick(220).of('frontShut')).toMatchObject({ since: 200, fell: false });
  });

  it('that bounces counts its debounce time anew', () => {
    const b = new Bench().set(0, 'frontShut', true).set(30, 'frontShut', false);
    b.set(35, 'frontShut', true);
    expect(b.tick(60).of('frontShut')?.level).toBe(false);
    expect(b.tick(75).of('frontShut')?.level).toBe(true);
  });

  it('told again what it is counts nothing anew', () => {
    const b = new Bench().set(0, 'frontShut', true).set(20, 'frontShut', true);
    expect(b.tick(40).of('frontShut')?.level).toBe(true);
    expect(b.state.inputs['frontShut']?.changesAt).toEqual([0]);
  });

  it('stops on a pulse of 5 ms between two ticks', () => {
    const b = new Bench().set(0, 'frontShut', true).tick(100);
    b.set(105, 'frontShut', false);
    expect(b.of('frontShut')?.level).toBe(false);
    b.set(110, 'frontShut', true);
    expect(b.of('frontShut')?.level).toBe(false);
    expect(b.tick(150).of('frontShut')?.level).toBe(true);
  });
});

it('any other input is debounced both ways', () => {
  const b = new Bench().set(0, 'backShut', true).tick(40);
  expect(b.of('backShut')?.level).toBe(true);
  expect(b.set(100, 'backShut', false).of('backShut')).toMatchObject({ raw: false, level: true });
  expect(b.tick(139).of('backShut')?.fell).toBe(false);
  expect(b.tick(140).of('backShut')).toMatchObject({ level: false, fell: true, since: 140 });
});

it('an input of another name changes nothing', () => {
  const b = new Bench().set(0, 'frontShut', true).tick(40).set(60, 'laneClear', false);
  expect(b.of('frontShut')?.level).toBe(true);
  expect(Object.keys(b.result.contacts)).toEqual(CONFIG.inputs);
});

it('a contact that the state does not know is left out', () => {
  const { result, state } = contacts(
    { ...CONFIG, inputs: ['frontShut', 'laneClear'] },
    initial(CONFIG),
    { t: 0, tick: true },
  );
  expect(Object.keys(result.contacts)).toEqual(['frontShut']);
  expect(Object.keys(state.inputs)).toEqual(['frontShut']);
});

describe('age', () => {
  it('a tick vouches for the samples; over 100 ms without one they are not fresh', () => {
    const b = new Bench().tick(0);
    const command = { do: 'stop' } as const;
    expect(b.give({ t: 100, command }).result.fresh).toBe(true);
    expect(b.give({ t: 101, command }).result.fresh).toBe(false);
    expect(b.tick(120).result.fresh).toBe(true);
  });

  it('a sample vouches too, a reading does not', () => {
    const b = new Bench().tick(0).set(90, 'backShut', true).give({ t: 190, kg: 10 });
    expect(b.result.fresh).toBe(true);
    expect(b.give({ t: 191, kg: 10 }).result.fresh).toBe(false);
  });

  it('samples count from the first input on, whatever it is', () => {
    const b = new Bench().give({ t: 500, kg: 0 });
    expect(b.state.sampledAt).toBe(500);
    expect(b.result.fresh).toBe(true);
  });

  it('a link to the inputs that goes down says that they are too old already; no tick makes them fresh', () => {
    const b = new Bench().tick(0).give({ t: 20, link: 'inputs', up: false });
    expect(b.result.fresh).toBe(false);
    for (let t = 20; t <= 120; t += 20) expect(b.tick(t).result.fresh).toBe(false);
    b.give({ t: 130, link: 'inputs', up: true });
    expect(b.result.fresh).toBe(false);
    expect(b.tick(140).result.fresh).toBe(true);
  });

  it('another link says nothing of the inputs', () => {
    const b = new Bench().tick(0).give({ t: 20, link: 'scale', up: false });
    expect(b.tick(200).result.fresh).toBe(true);
  });
});

describe('chatter', () => {
  /** So many changes of an input, the last `spanMs` after the first. */
  const changes = (name: string, count: number, spanMs: number): Bench => {
    const b = new Bench().tick(0);
    for (let i = 0; i < count; i += 1) {
      b.set(100 + Math.floor((i * spanMs) / (count - 1)), name, i % 2 === 0);
    }
    return b;
  };

  it('three changes within a second are none', () => {
    expect(changes('frontShut', 3, 300).result.chattering).toEqual([]);
  });
  it('a fourth is, and so is every one after', () => {
    expect(changes('frontShut', 4, 999).result.chattering).toEqual(['frontShut']);
    expect(changes('backShut', 9, 900).result.chattering).toEqual(['backShut']);
  });
  it('four in a whole second are none', () => {
    expect(changes('frontShut', 4, 1000).result.chattering).toEqual([]);
  });
  it('is over when the fourth last change is a second old', () => {
    const b = changes('frontShut', 4, 300);
    expect(b.tick(1099).result.chattering).toEqual(['frontShut']);
    expect(b.tick(1100).result.chattering).toEqual([]);
  });
  it('a change a second later begins anew', () => {
    const b = changes('frontShut', 4, 300);
    expect(b.set(1200, 'frontShut', true).result.chattering).toEqual([]);
  });
  it('a person may press twice in a second, and three times, but not four', () => {
    expect(changes('startButton', 4, 600).result.chattering).toEqual([]);
    expect(changes('startButton', 7, 900).result.chattering).toEqual([]);
    expect(changes('startButton', 8, 900).result.chattering).toEqual(['startButton']);
  });
  it('no more changes are kept than are needed', () => {
    expect(changes('frontShut', 30, 900).state.inputs['frontShut']?.changesAt).toHaveLength(4);
    expect(changes('startButton', 30, 900).state.inputs['startButton']?.changesAt).toHaveLength(8);
  });
});
