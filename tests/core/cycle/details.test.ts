/** What is easily got wrong by one sign or one word: found by putting such faults into the cycle. */
import { describe, expect, it } from 'vitest';
import { configWith, Script } from '../script.ts';

const FRONT = configWith(['frontShut']);
const WIRED = configWith(['frontShut', 'startButton', 'answerButton']);
const begun = (config = FRONT): Script => new Script(config, true).begin();

describe('a session', () => {
  it('another is refused while sorting, and taken in a fault', () => {
    const s = begun().say({ do: 'session', session: 7 });
    const refused = { command: 'session', reason: 'Stop first, then begin another session.' };
    expect(s.of('refused').at(-1)).toMatchObject(refused);
    expect(s.state.cycle.session).toBeNull();
    s.give({ t: s.t, link: 'relays', up: false }).wait(40);
    expect(s.mode()).toBe('fault');
    expect(s.say({ do: 'session', session: 7 }).state.cycle.session).toBe(7);
  });
  it('the same again keeps its counts; another begins at 1 and gives whoever is on that number', () => {
    const s = begun().weigh(36).wait(3000).letGo().say({ do: 'stop' });
    s.say({ do: 'session', session: 1, counts: { Stores: 4 } });
    expect(s.say({ do: 'session', session: 1 }).state.cycle.counts).toEqual({ Stores: 4 });
    s.say({ do: 'start' })
      .say({ do: 'confirm' })
      .wait(1000)
      .weigh(36)
      .wait(1000)
      .say({ do: 'stop' });
    s.say({ do: 'answer', answer: 'carry-on-without-tags' }).say({ do: 'session', session: 2 });
    expect(s.of('on').at(-1)).toMatchObject({ animal: 1 });
    expect(s.state.cycle).toMatchObject({ counts: {}, tagsOff: false, nextAnimal: 2 });
  });
});

it('a start button is stuck when it has been on for ten seconds, not a tick sooner', () => {
  const s = begun(WIRED).set('startButton', true).wait(10_020);
  expect(s.faults()).not.toContain('start-button-stuck');
  expect(s.wait(20).faults()).toContain('start-button-stuck');
});

describe('an animal by hand, with no weight', () => {
  const silent = (inputs: string[]): Script => {
    const s = new Script(configWith(inputs), true).weigh(null).begin().say({ do: 'confirm' });
    return s.wait(1000).say({ do: 'exit', exit: 'left' }).wait(500);
  };
  const beam = (s: Script, name: string): Script => s.set(name, false).wait(200);
  it('has gone when a beam breaks where no contact sees the front', () => {
    const s = silent(['laneClear.left', 'laneClear.right']);
    expect(s.state.cycle.animal).not.toBeNull();
    expect(beam(s, 'laneClear.left').state.cycle.animal).toBeNull();
  });
  it('has not, where the front is seen shut', () => {
    const s = silent(['frontShut', 'laneClear']);
    expect(beam(s, 'laneClear').state.cycle.animal).not.toBeNull();
  });
  it.each(['pause', 'stop'] as const)('named after a %s', (what) => {
    const s = new Script(FRONT, true).weigh(null).begin().say({ do: what });
    s.say({ do: 'exit', exit: 'left' });
    expect(s.state.cycle.animal === null).toBe(what === 'stop');
  });
});

describe('records that cannot be saved', () => {
  const lost = (s: Script): Script => s.give({ t: s.t, link: 'records', up: false }).wait(40);
  it('hold the animal that comes after, and let the one go that was on', () => {
    expect(lost(begun()).weigh(42).wait(4000).of('ready')).toHaveLength(0);
    expect(lost(begun().weigh(42).wait(40)).wait(4000).of('ready')).toHaveLength(1);
  });
  it('hold one that was put on by hand and was never weighed', () => {
    const s = new Script(FRONT, true).weigh(null).begin().say({ do: 'exit', exit: 'ahead' });
    expect(lost(s).wait(3000).state.cycle.animal?.readyAt ?? null).toBeNull();
  });
});

describe('the answer button', () => {
  it('hears an offer with its first press and takes it with its second', () => {
    const s = begun(WIRED);
    s.state = { ...s.state, cycle: { ...s.state.cycle, offerAt: s.t } };
    const press = (): Script =>
      s.wait(200).set('answerButton', true).wait(200).set('answerButton', false).wait(200);
    expect(press().state.cycle).toMatchObject({ tagsOff: false });
    expect(s.state.cycle.offerAt).not.toBeNull();
    expect(press().state.cycle).toMatchObject({ tagsOff: true, offerAt: null });
  });
  it('with no offer a second press takes nothing', () => {
    const s = begun(WIRED);
    for (let n = 0; n < 2; n += 1)
      s.set('answerButton', true).wait(300).set('answerButton', false).wait(300);
    expect(s.state.cycle.tagsOff).toBe(false);
  });
});
