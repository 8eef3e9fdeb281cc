/** Wired buttons and a person's words: they bind to the animal on the crate at the press. */
import { describe, expect, it } from 'vitest';
import { configWith, Script } from '../script.ts';

const BUTTONS = ['startButton', 'pauseButton', 'undoButton', 'zeroButton', 'answerButton'].concat(
  ['left', 'ahead', 'right'].map((exit) => `exitButton.${exit}`),
);
const WIRED = configWith(['frontShut', ...BUTTONS]);
const begun = (config = WIRED): Script => new Script(config, true).begin();
const press = (s: Script, name: string): Script =>
  s.set(name, true).wait(100).set(name, false).wait(60);
const exits = (s: Script) => s.of('let-go').map((e) => e.crossing.exit);
const refused = (s: Script): string[] => s.of('refused').map((e) => `${e.command}: ${e.reason}`);
const TAG = '999000000000017';
const FREE = { held: false, list: null, lastKg: null, lastDays: null };

describe('a whole day with no phone', () => {
  it('start, by plan, by hand, undo, answer, pause and start again', () => {
    const s = press(new Script(WIRED, true).set('frontShut', true).wait(600), 'startButton').wait(
      4000,
    );
    s.weigh(36).wait(3000).letGo().wait(1200);
    press(s.weigh(36).wait(1000), 'exitButton.right').wait(3000).letGo().wait(1200);
    press(press(s.weigh(36).wait(1000), 'exitButton.right'), 'undoButton')
      .wait(4000)
      .letGo();
    press(s.wait(1200), 'pauseButton').wait(600);
    expect(s.mode()).toBe('paused');
    press(s, 'startButton').wait(600);
    press(s.weigh(50).wait(3000), 'answerButton').letGo();
    expect(exits(s)).toEqual(['left', 'right', 'left', 'right']);
    expect([s.mode(), s.faults(), refused(s)]).toEqual(['running', [], []]);
  });
});

describe('an exit button', () => {
  it('is taken before the weight is known', () => {
    const s = begun();
    s.look = { estimate: null };
    press(s.weigh(36).wait(20), 'exitButton.right').wait(3000);
    expect(s.of('ready')).toMatchObject([{ exit: 'right' }]);
  });
  it('with nobody on the crate is nothing, and is not kept for the next', () => {
    const s = press(begun(), 'exitButton.right').weigh(36).wait(3000).letGo();
    expect([exits(s), refused(s)]).toEqual([['left'], []]);
  });
  it('is ignored from letting go until the next is on', () => {
    const s = begun().weigh(36).wait(3000).set('frontShut', false).wait(200);
    press(s, 'exitButton.right').weigh(0).wait(300);
    press(s.set('frontShut', true).wait(100), 'exitButton.right');
    s.wait(1200).weigh(36).wait(3000).letGo();
    expect([exits(s), refused(s)]).toEqual([['left', 'left'], []]);
  });
  it('with no weigh head the press itself says that one is on', () => {
    const s = press(begun().weigh(null), 'exitButton.left').wait(3000);
    expect(s.of('on')).toMatchObject([{ animal: 1 }]);
    expect(s.of('ready')).toMatchObject([{ exit: 'left' }]);
  });
  it('while stopped it begins no animal', () => {
    const s = press(
      new Script(WIRED, true).weigh(null).set('frontShut', true).wait(600),
      'exitButton.left',
    );
    expect(s.of('on')).toEqual([]);
    expect(refused(s)).toEqual(['exit: No animal is on the crate.']);
  });
  it('the last one pressed counts', () => {
    const s = press(press(begun().weigh(36).wait(100), 'exitButton.right'), 'exitButton.ahead');
    s.wait(4000).letGo();
    expect(exits(s)).toEqual(['ahead']);
  });
});

describe('undo, zero, answer', () => {
  it('undo with nobody on is nothing', () => {
    expect(press(begun(), 'undoButton').state.cycle.animal).toBeNull();
  });
  it('undo after letting go changes nothing', () => {
    const s = press(begun().weigh(36).wait(100), 'exitButton.right').wait(3000);
    press(s.set('frontShut', false).wait(200), 'undoButton').weigh(0).wait(200);
    s.set('frontShut', true).wait(200);
    expect(s.of('left')[0]?.crossing.rule).toBe('by-hand');
  });
  it('zero with an animal on is refused, by button and by word', () => {
    const s = press(begun().weigh(36).wait(100), 'zeroButton').say({ do: 'zero' });
    expect(refused(s)).toEqual([
      'zero: An animal is on the crate.',
      'zero: An animal is on the crate.',
    ]);
    expect(refused(press(begun(), 'zeroButton').say({ do: 'zero' }))).toEqual([]);
  });
  it('zero is handed to the weighing', () => {
    const s = new Script(WIRED).begin().weigh(0.5).wait(2000).say({ do: 'zero' });
    expect(s.wait(200).state.weighing).not.toEqual(begun().state.weighing);
  });
  it('answer silences the call', () => {
    const s = begun();
    s.look = { oddities: ['leaning'] };
    s.weigh(36).wait(5100);
    expect(s.outputs['sounder']).toBe(true);
    s.set('answerButton', true).wait(60);
    expect(s.outputs['sounder']).toBe(false);
    expect(s.state.cycle.acknowledgedAt).toBe(s.t - 20);
  });
});

describe('a person’s word', () => {
  it('an exit that the gate has not, and an animal that has gone, are refused aloud', () => {
    const s = begun().weigh(36).wait(3000).say({ do: 'exit', exit: 'up' }).letGo();
    s.say({ do: 'exit', exit: 'left', animal: 1 }).say({ do: 'exit', exit: 'left' });
    expect(refused(s)).toEqual([
      'exit: The gate has no exit up.',
      'exit: Animal 1 has gone.',
      'exit: No animal is on the crate.',
    ]);
  });
  it('names the animal that is on', () => {
    const s = begun().weigh(36).wait(100).say({ do: 'exit', exit: 'right', animal: 1 }).wait(3000);
    expect(s.of('ready')).toMatchObject([{ exit: 'right' }]);
    s.say({ do: 'exit', exit: 'left', animal: 2 });
    expect(refused(s)).toEqual(['exit: Animal 2 has gone.']);
  });
  it('an answer names a lot of the plan', () => {
    const s = begun().weigh(36).wait(100).say({ do: 'answer', lot: 'Heavy' }).wait(3000);
    expect(s.of('ready')).toMatchObject([{ exit: 'right' }]);
    s.say({ do: 'answer', lot: 'Lost' });
    expect(refused(s)).toEqual(['answer: The plan has no lot Lost.']);
  });
  it('the crate seen empty is told to the interlock alone', () => {
    const s = begun().weigh(null).say({ do: 'confirm', what: 'crate' });
    expect(s.state.interlock.saidEmpty).toBe(true);
    const lane = begun().say({ do: 'stop' }).wait(300).say({ do: 'start' });
    lane.say({ do: 'confirm', what: 'crate' });
    expect(lane.state.gate.laneNeedsConfirm).toBe(true);
    lane.say({ do: 'confirm', what: 'lane' });
    expect(lane.state.gate.laneNeedsConfirm).toBe(false);
  });
  it('marks are given to the animal that is on, and refused for one that has gone', () => {
    const mark = { name: 'lame', value: true };
    const s = begun().weigh(36).wait(100).say({ do: 'mark', mark }).say({ do: 'mark' });
    s.say({ do: 'mark', mark: { name: 'nonsense', value: 1 } });
    expect(s.state.cycle.animal?.marks).toEqual([mark]);
    s.wait(3000).letGo().say({ do: 'mark', mark, animal: 1 });
    expect(refused(s)).toEqual(['mark: no mark is called nonsense', 'mark: That animal has gone.']);
    expect(s.of('let-go')[0]?.crossing.marks).toEqual([mark]);
  });
});

describe('tags', () => {
  const tag = (s: Script, name: string, held: boolean | null = false): Script =>
    s.give({ t: s.t, tag: name, known: { ...FREE, held } });
  it('read before anybody is on it is the next one’s', () => {
    const s = tag(begun(), TAG).weigh(36).wait(3000).letGo();
    expect(s.of('let-go')[0]?.crossing.tag).toBe(TAG);
  });
  it('read again it is the same', () => {
    const s = tag(tag(begun().weigh(36).wait(100), TAG), TAG);
    expect(s.state.cycle.animal).toMatchObject({ tag: TAG, flags: [], known: FREE });
  });
  it('read after letting go it is the next one’s', () => {
    const s = begun().weigh(36).wait(3000).set('frontShut', false).wait(200);
    tag(s, TAG).weigh(0).wait(200).set('frontShut', true).wait(200).weigh(36).wait(3000).letGo();
    expect(s.of('let-go').map((e) => e.crossing.tag)).toEqual([null, TAG]);
  });
  it.each([
    [false, false, FREE],
    [true, false, { ...FREE, held: null }],
    [false, null, { ...FREE, held: null }],
  ] as const)(
    'of two, held %s and %s, the animal is free only if both are',
    (one, other, known) => {
      const s = tag(tag(begun().weigh(36).wait(100), TAG, one), '999000000000025', other);
      expect(s.state.cycle.animal).toMatchObject({ tag: TAG, flags: ['two-tags'], known });
      tag(s, '999000000000033');
      expect(s.state.cycle.animal?.flags).toEqual(['two-tags']);
    },
  );
});

describe('what is told as a fault', () => {
  it('no weight, while sorting', () => {
    const s = new Script(WIRED, true).weigh(null).wait(100);
    expect(s.faults()).toEqual([]);
    expect(begun().weigh(null).wait(20).faults()).toEqual(['scale-lost']);
    expect(begun().say({ do: 'pause' }).weigh(null).wait(20).faults()).toEqual(['scale-lost']);
  });
  it('no known zero', () => {
    const s = begun();
    s.look = { oddities: ['leaning', 'zero-unknown'] };
    expect(s.wait(20).faults()).toEqual(['zero-unknown']);
  });
});
