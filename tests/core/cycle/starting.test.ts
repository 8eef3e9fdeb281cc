/** Start, pause, stop, clear, fitting, the wired start: nothing moves until a person starts it. */
import { describe, expect, it } from 'vitest';
import { configWith, Script } from '../script.ts';

const BUTTONS = ['startButton', 'pauseButton', 'answerButton', 'zeroButton', 'undoButton'];
const ALL = ['frontShut', 'stopLoop', 'laneClear', ...BUTTONS, 'exitButton.left'];
const CONFIG = configWith(ALL);
const NO_BEAM = configWith(ALL.filter((name) => name !== 'laneClear'));
const told = (s: Script): string[] => s.of('mode').map((e) => `${e.mode}: ${e.why}`);
const refused = (s: Script): string[] => s.of('refused').map((e) => `${e.command}: ${e.reason}`);
const fresh = (config = CONFIG): Script => {
  const s = new Script(config, true);
  for (const name of config.inputs) if (!name.includes('Button')) s.set(name, true);
  return s.wait(600);
};
const begun = (config = CONFIG): Script => new Script(config, true).begin();
const press = (s: Script, name: string, ms = 100): Script =>
  s.set(name, true).wait(ms).set(name, false).wait(100);
const off = (s: Script, name: string): void => {
  expect([s.moving(), s.outputs['keepAlive'], s.mode()]).toEqual([[], false, name]);
};

describe('start', () => {
  it('homes what is unknown and then runs', () => {
    const s = fresh().say({ do: 'start' });
    expect(s.mode()).toBe('homing');
    s.say({ do: 'confirm' }).wait(4000);
    expect(told(s)).toEqual(['homing: a person started', 'running: every leaf is home']);
    expect(s.state.cycle.modeAt).toBe(s.of('mode').at(-1)?.t);
    expect(s.state.gate.at).toBe('ahead');
  });

  it('with the leaves at home it runs at once, and again is nothing', () => {
    const s = begun().say({ do: 'stop' }).wait(400).say({ do: 'start' });
    expect(s.mode()).toBe('running');
    expect(s.state.gate.laneNeedsConfirm).toBe(true);
    const before = s.events.length;
    s.say({ do: 'confirm' }).say({ do: 'start' });
    expect(s.events).toHaveLength(before);
    expect(s.state.gate.laneNeedsConfirm).toBe(false);
  });

  it('is refused with the stop loop open', () => {
    const s = fresh().set('stopLoop', false).say({ do: 'start' });
    expect(refused(s)).toEqual(['start: The stop loop is open: release the stop first.']);
    expect(s.mode()).toBe('stopped');
  });

  it('is refused while the cause of a fault is there, though stopped', () => {
    const s = fresh().give({ t: 600, link: 'relays', up: false }).say({ do: 'start' });
    expect(refused(s)).toEqual(['start: The cause of relays-lost is still there.']);
    s.give({ t: 600, link: 'relays', up: true }).wait(20).say({ do: 'start' });
    expect(s.mode()).toBe('homing');
  });

  it('is refused in a fault that nobody cleared', () => {
    const s = begun().set('stopLoop', false).set('stopLoop', true).wait(200).say({ do: 'start' });
    expect(refused(s)).toEqual(['start: A fault is not cleared: clear it first.']);
  });

  it('hold faults that go by themselves do not refuse it', () => {
    const s = begun().weigh(null).wait(100).say({ do: 'pause' }).wait(100).say({ do: 'start' });
    expect(s.faults()).toContain('scale-lost');
    expect(s.mode()).toBe('running');
  });
});

describe('pause, stop, clear', () => {
  it('pause takes only what is sorting', () => {
    const s = fresh().say({ do: 'pause' });
    expect(s.mode()).toBe('stopped');
    s.say({ do: 'start' }).say({ do: 'pause' });
    expect(s.mode()).toBe('paused');
    expect(told(s).at(-1)).toBe('paused: a person paused');
    expect(begun().say({ do: 'pause' }).mode()).toBe('paused');
  });

  it('pause lets the stroke under way end, and begins no other', () => {
    const s = begun().weigh(36).wait(200).say({ do: 'pause' });
    expect(s.moving()).toEqual(['leafA.extend']);
    s.wait(2000);
    expect([s.moving(), s.state.gate.at, s.of('ready')]).toEqual([[], 'left', []]);
    s.say({ do: 'start' }).say({ do: 'confirm' }).wait(40);
    expect(s.of('ready')).toHaveLength(1);
  });

  it('stop takes every motion off in the same step', () => {
    const s = begun().weigh(36).wait(200).say({ do: 'stop' });
    off(s, 'stopped');
    expect(told(s).at(-1)).toBe('stopped: a person stopped');
    expect(s.wait(5000).moving()).toEqual([]);
  });

  it('stop in a fault leaves the fault', () => {
    const s = begun().set('stopLoop', false).wait(20).say({ do: 'stop' });
    off(s, 'fault');
  });

  it('a fault is named by what tripped first', () => {
    const s = begun().set('stopLoop', false).wait(20);
    expect(told(s).at(-1)).toBe('fault: stop-pressed');
  });

  it('clear is refused while the cause is there, and starts nothing', () => {
    const s = begun().weigh(36).wait(200).set('stopLoop', false).wait(100).say({ do: 'clear' });
    expect(refused(s)).toEqual(['clear: The cause is still there.']);
    s.set('stopLoop', true).wait(100).say({ do: 'clear' });
    expect(told(s).at(-1)).toBe('stopped: a person cleared the fault');
    s.wait(3000);
    off(s, 'stopped');
  });

  it('clear with nothing to clear is nothing', () => {
    const s = begun().say({ do: 'clear' });
    expect([s.mode(), refused(s)]).toEqual(['running', []]);
  });
});

describe('hold', () => {
  const hold = (output: string) => ({ do: 'hold', output, press: 1 }) as const;
  it('from stopped enters the fitting mode, which only a stop or a start leaves', () => {
    const s = fresh().say(hold('leafA.extend'));
    expect(told(s)).toEqual(['fitting: a person holds a leaf button']);
    expect(s.moving()).toEqual(['leafA.extend']);
    expect(s.state.interlock.hold).toMatchObject({ output: 'leafA.extend', press: 1 });
    s.wait(500);
    expect([s.mode(), s.moving()]).toEqual(['fitting', []]);
    expect(s.say({ do: 'start' }).mode()).toBe('homing');
  });
  it('of no output is refused and changes nothing', () => {
    const s = fresh().say(hold('leafZ.extend'));
    expect(refused(s)).toEqual(['hold: The gate has no output leafZ.extend.']);
    expect(s.mode()).toBe('stopped');
  });
  it('the closing way is refused anywhere else', () => {
    const s = begun().say(hold('leafA.extend'));
    const why = 'hold: Only the opening direction frees a leaf: stop first for the other.';
    expect([refused(s), s.mode()]).toEqual([[why], 'running']);
    expect(s.say(hold('leafA.retract')).mode()).toBe('paused');
  });
  it('without a number it is taken as well', () => {
    const s = fresh().say({ do: 'hold', output: 'leafA.extend' });
    expect(s.state.interlock.hold?.press).toBeNull();
  });
});

describe('the wired start', () => {
  it('fresh: seen off for 500 ms, then on; it starts and confirms', () => {
    const s = press(fresh(), 'startButton').wait(4000);
    expect([s.mode(), s.state.gate.laneNeedsConfirm]).toEqual(['running', false]);
  });
  it('on from power-up it starts nothing, let go and pressed too soon neither', () => {
    const s = new Script(CONFIG, true).set('startButton', true).wait(1000);
    for (const name of ['frontShut', 'stopLoop', 'laneClear']) s.set(name, true);
    expect(s.wait(1000).mode()).toBe('stopped');
    press(s.set('startButton', false).wait(400), 'startButton');
    expect(s.mode()).toBe('stopped');
    press(s.wait(500), 'startButton');
    expect(s.mode()).toBe('homing');
  });
  it('on for ten seconds it is stuck', () => {
    const s = fresh().set('startButton', true).wait(10_020);
    expect(s.faults()).not.toContain('start-button-stuck');
    s.wait(40);
    expect(s.faults()).toContain('start-button-stuck');
    expect(s.wait(40).mode()).toBe('fault');
    press(s.wait(1000), 'startButton');
    expect(s.mode()).toBe('fault');
  });
  it('in a fault of another kind the first press clears and the second starts', () => {
    const s = begun().set('stopLoop', false).wait(100).set('stopLoop', true).wait(600);
    press(s, 'startButton').wait(600);
    off(s, 'stopped');
    press(s, 'startButton').wait(100);
    expect(s.mode()).toBe('running');
  });
  it('with the cause still there it clears nothing', () => {
    const s = press(begun().set('stopLoop', false).wait(700), 'startButton');
    expect([s.mode(), refused(s)]).toEqual(['fault', ['clear: The cause is still there.']]);
  });
  it('while sorting it confirms the lane and changes nothing else', () => {
    const s = begun(NO_BEAM).say({ do: 'stop' }).wait(600).say({ do: 'start' });
    expect(s.state.gate.laneNeedsConfirm).toBe(true);
    const modes = told(s).length;
    press(s.wait(600), 'startButton');
    expect(s.state.gate.laneNeedsConfirm).toBe(false);
    expect(told(s)).toHaveLength(modes);
  });
  it('refused, it confirms nothing', () => {
    const s = press(fresh().set('stopLoop', false).wait(600), 'startButton').set('stopLoop', true);
    expect(s.wait(100).state.gate.laneNeedsConfirm).toBe(true);
  });
  it('the wired pause pauses', () => {
    expect(press(begun(), 'pauseButton').mode()).toBe('paused');
  });
});

describe('opened early with a leaf moving', () => {
  const early = (config = CONFIG): Script => {
    const s = begun(config).weigh(36).wait(200);
    expect(s.moving()).toEqual(['leafA.extend']);
    return s.set('frontShut', false);
  };

  it('is off in the same step, a fault, a call, and logged with exit unknown', () => {
    const s = early();
    expect(s.moving()).toEqual([]);
    s.wait(200);
    off(s, 'fault');
    expect(told(s).at(-1)).toBe('fault: let-out-early');
    expect(s.of('call')).toHaveLength(1);
    expect(s.of('let-go')[0]?.crossing).toMatchObject({ exit: null });
    expect(s.of('let-go')[0]?.crossing.flags).toContain('let-out-early');
  });

  it('one press of the wired start, once front and lane are clear, goes home and on', () => {
    const s = early().wait(300).weigh(0).wait(300);
    press(s, 'startButton').wait(600);
    s.set('frontShut', true).set('laneClear', false).wait(100);
    press(s, 'startButton').wait(600);
    expect(refused(s)).toEqual([
      'start: The front is open: shut it first.',
      'start: Something is in the lane (laneClear): let it out first.',
    ]);
    off(s, 'fault');
    s.set('laneClear', true).wait(100);
    press(s, 'startButton').wait(4000);
    expect([s.mode(), s.state.gate.at]).toEqual(['running', 'ahead']);
    s.weigh(36).wait(2500);
    expect(s.of('ready')).toMatchObject([{ exit: 'left', animal: 2 }]);
  });

  it('with another trip beside it the press only clears', () => {
    const s = early(NO_BEAM).set('stopLoop', false).wait(300).weigh(0).wait(100);
    s.set('frontShut', true).set('stopLoop', true).wait(600);
    press(s, 'startButton').wait(600);
    expect(s.mode()).toBe('stopped');
  });

  it('is not cleared by the press before the crate is empty, as far as motion goes', () => {
    const s = early(NO_BEAM).wait(300).set('frontShut', true).wait(600);
    press(s, 'startButton').wait(1500);
    expect([s.mode(), s.moving()]).toEqual(['homing', []]);
    s.weigh(0).wait(3500);
    expect(s.mode()).toBe('running');
  });

  it('somebody in the lane with a leaf moving: the same', () => {
    const s = begun().weigh(36).wait(200).set('laneClear', false);
    expect(s.moving()).toEqual([]);
    s.wait(100).set('laneClear', true).weigh(0).wait(600);
    press(s, 'startButton').wait(4000);
    expect(s.mode()).toBe('running');
  });
});
