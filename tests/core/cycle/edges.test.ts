/** The edges of one animal and of a person's acts: what counts, from exactly when, and what does not. */
import { describe, expect, it } from 'vitest';
import { initial, stepWith, type Config } from '../../../src/core/step.ts';
import { TIMES } from '../../../src/core/times.ts';
import type { Command } from '../../../src/core/trace.ts';
import { configWith, Script } from '../script.ts';

const FRONT = configWith(['frontShut']);
const WIRED = configWith(['frontShut', 'startButton', 'answerButton', 'undoButton']);
const BEAM = configWith(['laneClear.left', 'undoButton']);
const TAG = '999000000000017';
const OTHER = '999000000000025';
const TAGS = { lists: [{ file: 'a.csv', lot: 'Stores' }], withdrawal: { lot: 'Stores' } };
const TAGGED: Config = {
  ...FRONT,
  plan: { ...FRONT.plan, tags: { ...TAGS, unread: 'hold' as const } },
};
const LISTED = { held: false, list: 'a.csv', lastKg: null, lastDays: null };

const begun = (config = FRONT): Script => new Script(config, true).begin();
const silent = (config = FRONT): Script => new Script(config, true).weigh(null).begin();
const animal = (s: Script) => s.state.cycle.animal;
const refused = (s: Script): string[] => s.of('refused').map((e) => `${e.command}: ${e.reason}`);
const reasons = (s: Script): string[] => s.of('call').map((e) => e.reason);
const rules = (s: Script): string[] => s.of('decided').map((e) => e.rule);
const row = (s: Script) => s.of('let-go').at(-1)?.crossing;
const stays = (s: Script): Script =>
  s.weigh(36).wait(3000).set('frontShut', false).wait(300).say({ do: 'stop' });
const go = (s: Script): Script => s.say({ do: 'start' }).say({ do: 'confirm' });
/** Puts something into the state that takes long to come about. */
const made = (s: Script, part: 'cycle' | 'gate', change: object): Script => {
  s.state = { ...s.state, [part]: { ...s.state[part], ...change } };
  return s;
};

describe('modes', () => {
  it('are told once, when they change', () => {
    const s = begun(WIRED).say({ do: 'stop' }).say({ do: 'stop' });
    expect(s.of('mode').filter((e) => e.mode === 'stopped')).toHaveLength(1);
  });
  it('a cause of a trip while stopped stops nothing more', () => {
    const s = new Script(FRONT, true).give({ t: 0, link: 'relays', up: false }).wait(100);
    expect([s.mode(), s.of('mode')]).toEqual(['stopped', []]);
  });
  it('a fault is named by the trip, whatever else was said before', () => {
    const s = begun().weigh(null).wait(40).give({ t: 5000, link: 'relays', up: false });
    s.t = 5000;
    s.wait(40);
    expect(s.faults()).toEqual(['scale-lost', 'relays-lost']);
    expect(s.of('mode').filter((e) => e.mode === 'fault')).toMatchObject([{ why: 'relays-lost' }]);
  });
  it('leaves that are home start nothing that is not being homed', () => {
    const s = made(begun().say({ do: 'pause' }), 'gate', { homed: true });
    expect(s.wait(20).mode()).toBe('paused');
  });
  it('a start while homing asks for no new look', () => {
    const s = go(new Script(FRONT, true).set('frontShut', true).wait(600));
    expect(s.say({ do: 'start' }).mode()).toBe('homing');
    expect(s.wait(20).state.gate.laneNeedsConfirm).toBe(false);
  });
  it('no weight is told while homing too', () => {
    const s = go(new Script(FRONT, true).weigh(null).set('frontShut', true).wait(600)).wait(40);
    expect([s.mode(), s.faults()]).toEqual(['homing', ['scale-lost']]);
  });
});

describe('a session', () => {
  it('says with which number it goes on', () => {
    const s = begun().say({ do: 'stop' });
    s.say({ do: 'start', session: 'b', nextAnimal: 17 }).say({ do: 'confirm' }).wait(600);
    expect(s.weigh(36).wait(100).of('on')).toMatchObject([{ animal: 17 }]);
  });
  it('said again while sorting is no other', () => {
    const s = begun().say({ do: 'stop' }).say({ do: 'start', session: 7 });
    expect(refused(s.say({ do: 'session', session: 7 }))).toEqual([]);
  });
  it('gives whoever is on its own first number, aloud', () => {
    const s = begun().say({ do: 'stop' });
    s.say({ do: 'start', session: 'b', nextAnimal: 17 }).say({ do: 'confirm' }).wait(600);
    s.weigh(36).wait(100).say({ do: 'stop' }).say({ do: 'session', session: 'c' });
    expect(s.of('on').map((e) => e.animal)).toEqual([17, 1]);
    expect(animal(s)?.number).toBe(1);
  });
  it('leaves the one that was let go its number', () => {
    const s = stays(begun()).say({ do: 'session', session: 'b' });
    expect([s.of('on').length, s.state.cycle.nextAnimal]).toEqual([1, 1]);
  });
});

describe('a fresh press of the wired start', () => {
  const config = { ...WIRED, crate: { ...WIRED.crate, debounceMs: 20 } };
  const pressed = (at: number): string => {
    const s = new Script(config, true).set('frontShut', true).wait(at - 20);
    return s.set('startButton', true).wait(20).mode();
  };
  it('was off for 500 ms before', () => {
    expect([pressed(480), pressed(500)]).toEqual(['stopped', 'homing']);
  });
  it('sends the leaves home also while something is told that trips nothing', () => {
    const s = begun(WIRED).weigh(36).wait(200);
    s.set('frontShut', false).give({ t: s.t, link: 'records', up: false }).wait(300);
    s.weigh(0).set('frontShut', true).wait(600);
    expect([s.mode(), s.faults()]).toEqual(['fault', ['let-out-early', 'records-not-saved']]);
    expect(s.set('startButton', true).wait(200).mode()).toBe('homing');
  });
  it('does not while a beam is broken, with no front contact too', () => {
    const inputs = ['laneClear.left', 'laneClear.ahead', 'startButton'];
    const s = begun(configWith(inputs)).weigh(36).wait(300).set('laneClear.left', false).wait(100);
    expect(s.faults()).toEqual(['lane-entered']);
    s.wait(600).set('startButton', true).wait(200);
    expect(refused(s)).toEqual([
      'start: Something is in the lane (laneClear.left): let it out first.',
    ]);
  });
});

describe('who comes after a front that shut with weight on the crate', () => {
  const after = (s: Script): Script => s.set('frontShut', true).wait(300);
  it('follows, also when the next start comes later', () => {
    const s = go(after(stays(begun()))).wait(100);
    expect(animal(s)?.flags).toEqual(['follower']);
  });
  it('does not once the crate was empty', () => {
    const s = go(after(stays(begun())).weigh(0).wait(100))
      .wait(100)
      .weigh(36)
      .wait(100);
    expect(animal(s)?.flags).toEqual([]);
  });
  it('does not where the one let go had gone before', () => {
    const s = begun().weigh(36).wait(3000).set('frontShut', false).wait(300).weigh(0).wait(100);
    s.weigh(36).wait(300).set('frontShut', true).wait(300);
    expect(animal(s)?.flags).toEqual(['on-at-start']);
  });
  it('nor one that came through a front that opened as another backed out', () => {
    const s = begun().weigh(36).wait(100).weigh(0).wait(20).set('frontShut', false);
    s.weigh(36).wait(300).set('frontShut', true).wait(300);
    expect(animal(s)?.flags).toEqual(['on-at-start']);
  });
  it('nor one that stood there at power-up', () => {
    const s = new Script(FRONT, true).weigh(36);
    s.state = initial(FRONT);
    go(s.set('frontShut', true).wait(600)).wait(100);
    expect(animal(s)?.flags).toEqual(['on-at-start']);
  });
});

describe('a tag', () => {
  const read = (s: Script, tag: string, known?: typeof LISTED): Script =>
    s.give(known === undefined ? { t: s.t, tag } : { t: s.t, tag, known });
  it('read before its animal is on tells what is known of it', () => {
    const s = read(begun(TAGGED), TAG, LISTED).weigh(36).wait(100);
    expect(rules(s)).toEqual(['tag']);
  });
  it('kept from one that backed out does too', () => {
    const s = read(begun(TAGGED).weigh(36).wait(40), TAG, LISTED).weigh(0).wait(100);
    expect(animal(s)).toBeNull();
    expect(animal(s.weigh(36).wait(100))).toMatchObject({ tag: TAG, known: LISTED });
  });
  it('of another takes the place of one that was only kept', () => {
    const s = read(begun().weigh(36).wait(40), TAG).weigh(0).wait(100).weigh(37).wait(40);
    expect(animal(read(s, OTHER))).toMatchObject({ tag: OTHER, flags: [] });
  });
  it('and another are two, whether the first came before the animal or with it', () => {
    for (const s of [begun().weigh(36).wait(40), begun()]) {
      read(s, TAG).weigh(36).wait(40);
      expect(animal(read(s, OTHER))?.flags).toEqual(['two-tags']);
    }
  });
});

it('a tag of which nothing is known, beside another that is free, leaves all unclear', () => {
  const s = begun().weigh(36).wait(40).give({ t: 5040, tag: TAG, known: LISTED });
  s.give({ t: s.t, tag: OTHER });
  expect(animal(s)).toMatchObject({ flags: ['two-tags'], known: { held: null, list: null } });
});

describe('an animal that was never weighed', () => {
  const named = (config = FRONT): Script => silent(config).say({ do: 'exit', exit: 'left' });
  it('is weighed when the weigh head comes back, and may then back out', () => {
    const s = named().wait(100).weigh(36).wait(40);
    expect(animal(s)?.enteredAt).toBe(s.t - 20);
    expect(s.weigh(0).wait(40).of('backed-out')).toHaveLength(1);
  });
  it('can be named while homing', () => {
    const s = go(new Script(FRONT, true).weigh(null).set('frontShut', true).wait(600));
    s.say({ do: 'exit', exit: 'left' });
    expect([s.mode(), animal(s)?.byHand]).toEqual(['homing', 'left']);
  });
  it('is named anew without another coming on', () => {
    const s = named().wait(100).say({ do: 'exit', exit: 'right' });
    expect(animal(s)).toMatchObject({ number: 1, byHand: 'right' });
  });
  it('does not come on by a number that is not there', () => {
    const s = silent().say({ do: 'exit', exit: 'left', animal: 3 });
    expect([animal(s), refused(s)]).toEqual([null, ['exit: Animal 3 has gone.']]);
  });
  it('is not said to be held for long, nor called for once the word is taken back', () => {
    const s = named(WIRED).set('undoButton', true).wait(65_000);
    expect(animal(s)?.byHand).toBeNull();
    expect([s.of('unsure'), s.faults()]).toEqual([[], ['scale-lost']]);
  });
  it('is not refused aloud an exit button on its way out', () => {
    const config = configWith(['frontShut', 'exitButton.left']);
    const s = named(config).wait(3000).set('frontShut', false).wait(200);
    expect(refused(s.set('exitButton.left', true).wait(200))).toEqual([]);
  });
});

describe('with no front contact', () => {
  const broken = (s: Script): Script => s.set('laneClear.left', false).wait(100);
  it('a beam says nothing of one that was weighed, though the weigh head falls silent', () => {
    const s = begun(BEAM).weigh(36).wait(2500);
    expect(animal(broken(s))).not.toBeNull();
    expect(animal(broken(begun(BEAM).weigh(36).wait(2500).weigh(null).wait(100)))).not.toBeNull();
  });
  it('nor while the weigh head speaks', () => {
    const s = silent(BEAM).say({ do: 'exit', exit: 'ahead' }).wait(100).weigh(0).wait(100);
    expect(animal(broken(s))).not.toBeNull();
  });
  it('another contact that falls is no beam', () => {
    const s = silent(BEAM).set('undoButton', true).wait(100).say({ do: 'exit', exit: 'ahead' });
    expect(animal(s.set('undoButton', false).wait(200))).not.toBeNull();
  });
  const off = { u95Kg: 8, uKg: 4, settled: false, spanMs: 1000, toCome: { half: 0, foot: 0 } };
  const leaves = (good: boolean): Script => {
    const s = begun(configWith(['laneClear']));
    if (good) s.weigh(42).wait(60);
    s.look = { estimate: { kg: 30, ...off } };
    s.weigh(42).wait(60);
    s.look = {};
    return s.weigh(0).wait(40);
  };
  it('the weight is the last good one', () => {
    expect(row(leaves(true))).toMatchObject({ recordedKg: 42, flags: [] });
  });
  it('nobody opened early who went before the signal', () => {
    expect(row(leaves(false))).toMatchObject({ recordedKg: null, flags: [] });
  });
});

describe('the front', () => {
  it('open for 150 ms lets an animal go, at that very time', () => {
    const s = begun().weigh(36).wait(3000).set('frontShut', false).wait(140);
    expect(s.give({ t: s.t + 10, volts: 12 }).of('let-go')).toHaveLength(1);
  });
  it('opened with a leaf moving: where it went is not known, so not said to be wrong', () => {
    const s = begun().weigh(36).wait(200).set('frontShut', false).wait(200);
    expect(row(s)).toMatchObject({ exit: null });
    expect(row(s)?.flags).toContain('let-out-early');
    expect(row(s)?.flags).not.toContain('wrong-way');
  });
  it('never seen open after a signal that was taken back is a fault as well', () => {
    const s = begun().weigh(36).wait(3000).weigh(50).wait(40);
    expect(animal(s)?.readyAt).toBeNull();
    expect(s.weigh(0).wait(100).faults()).toEqual(['front-unseen']);
  });
});

describe('what the other modules are asked', () => {
  const asked = (command: Command | null): number => {
    let times = 0;
    const weighing = {
      ...{ reading: null, fresh: true, zeroKnown: true, occupancy: 'empty' as const },
      ...{ enteredAt: null, estimate: null, oddities: [] },
    };
    const ask = () => {
      times += 1;
      return weighing;
    };
    const input = command === null ? { t: 0, tick: true as const } : { t: 0, command };
    stepWith(FRONT, initial(FRONT), input, { weigh: () => weighing, ask }, TIMES);
    return times;
  };
  it('of the weighing a zero and an empty crate only by a person’s word', () => {
    expect(asked(null)).toBe(0);
    expect(asked({ do: 'zero' })).toBe(1);
    expect(asked({ do: 'confirm', what: 'crate' })).toBe(1);
  });
  it('nobody says that the crate is empty but a person', () => {
    expect(begun().weigh(null).wait(100).state.interlock.saidEmpty).toBe(false);
  });
  it('without a word by hand the gate waits for a fresh weight', () => {
    expect(begun().weigh(null).wait(40).state.gate.waits).toContain('scale');
  });
});

describe('a refusal', () => {
  it('for withdrawal sounds; one because nothing is sorted does not', () => {
    const lots = FRONT.plan.lots.map((lot) => ({ ...lot, forSlaughter: lot.exit === 'right' }));
    const s = begun({ ...TAGGED, plan: { ...TAGGED.plan, lots } })
      .weigh(36)
      .wait(40);
    s.give({ t: s.t, tag: TAG, known: { ...LISTED, list: null, held: true } });
    s.say({ do: 'exit', exit: 'right' });
    expect(s.of('refused')).toMatchObject([{ command: 'exit' }]);
    expect(s.state.cycle.saying?.what).toBe('refused');
    const counting = begun({ ...FRONT, plan: { ...FRONT.plan, work: 'count-only' } });
    counting.weigh(36).wait(40).say({ do: 'exit', exit: 'right' });
    expect([counting.of('refused').length, counting.state.cycle.saying]).toEqual([1, null]);
  });
});

describe('marks', () => {
  const b = { name: 'condition', value: 3 };
  it('given and taken away sound differently', () => {
    const s = begun()
      .weigh(36)
      .wait(40)
      .say({ do: 'mark', mark: { name: 'lame', value: true } });
    expect(s.state.cycle.saying?.what).toBe('marked');
    s.say({ do: 'mark', mark: { name: 'lame', value: false } });
    expect(s.state.cycle.saying?.what).toBe('unmarked');
  });
  it('by two buttons of one name: the last value stands', () => {
    const buttons = ['markButton.b', 'markButton.c'];
    const markButtons = { b, c: { ...b, value: 4 } };
    const s = begun({ ...configWith(['frontShut', ...buttons]), markButtons })
      .weigh(36)
      .wait(40);
    for (const name of buttons) s.set(name, true).wait(200).set(name, false).wait(200);
    expect(animal(s)?.marks).toEqual([{ ...b, value: 4 }]);
  });
});

it('a mark by button is another’s beside it, where it has another name', () => {
  const buttons = ['markButton.a', 'markButton.b'];
  const markButtons = { a: { name: 'lame', value: true }, b: { name: 'keep', value: true } };
  const s = begun({ ...configWith(['frontShut', ...buttons]), markButtons })
    .weigh(36)
    .wait(40);
  for (const name of buttons) s.set(name, true).wait(200).set(name, false).wait(200);
  expect(animal(s)?.marks).toEqual([markButtons.a, markButtons.b]);
});

describe('an answer', () => {
  it('that names nothing takes no offer and is refused nothing', () => {
    const s = made(begun(), 'cycle', { offerAt: 100 }).say({ do: 'answer' });
    expect([s.state.cycle.tagsOff, s.state.cycle.offerAt, refused(s)]).toEqual([false, 100, []]);
  });
  const pressedAfter = (acknowledgedAt: number): boolean => {
    const s = begun(WIRED);
    made(s, 'cycle', { offerAt: s.t, acknowledgedAt: s.t + acknowledgedAt });
    return s.set('answerButton', true).wait(200).state.cycle.tagsOff;
  };
  it('by the button takes an offer that was heard, not one that came since', () => {
    expect([pressedAfter(-20), pressedAfter(0)]).toEqual([false, true]);
  });
});

describe('a call', () => {
  it('for an empty crate comes once, when the leaves are sent home under a follower', () => {
    const s = begun().weigh(36).wait(200).set('frontShut', false).wait(300);
    s.set('frontShut', true).wait(400);
    const empty = (): number => reasons(s).filter((r) => r.startsWith('the leaves go home')).length;
    expect([s.mode(), empty()]).toEqual(['fault', 0]);
    go(s.say({ do: 'clear' })).wait(400);
    expect([s.mode(), empty()]).toEqual(['homing', 1]);
  });
  it('for that does not come where the leaves are on their way', () => {
    const s = new Script(FRONT, true).set('frontShut', true).wait(600).weigh(36);
    expect(reasons(go(s).wait(300))).toEqual([]);
    expect(s.mode()).toBe('homing');
  });
});
