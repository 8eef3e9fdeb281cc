import { describe, expect, it } from 'vitest';
import { configWith, Script } from '../script.ts';

const FRONT = configWith(['frontShut']);
const begun = (): Script => new Script(FRONT).begin();

describe('one animal', () => {
  it('goes from start to the left with the leaves moved while it is held', () => {
    const s = begun().weigh(36).wait(4000);
    expect(s.of('decided').at(-1)).toMatchObject({ exit: 'left' });
    expect(s.of('ready')).toMatchObject([{ exit: 'left' }]);
    expect(s.outputs['letGoLamp'] ?? false).toBeTypeOf('boolean');
    s.letGo();
    expect(s.of('let-go')[0]?.crossing).toMatchObject({ exit: 'left', unsure: false, flags: [] });
    expect(s.of('left')).toHaveLength(1);
    expect(s.of('ready')[0]?.t).toBeLessThan(s.of('let-go')[0]?.crossing.letGoAt ?? 0);
  });

  it('changes its decision only after the let-go signal was taken back for half a second', () => {
    const s = begun().weigh(36).wait(4000).weigh(50).wait(4000);
    const revised = s.of('decided').find((e) => e.revision === 1);
    expect(revised).toMatchObject({ exit: 'right' });
    const dark = s.changes.filter((c) => c.output === 'letGoLamp' && !c.on);
    const moved = s.of('stroke').find((e) => e.t > (revised?.t ?? 0) && e.phase === 'begun');
    const last = dark.filter((c) => c.t <= (moved?.t ?? 0)).at(-1);
    expect((moved?.t ?? 0) - (last?.t ?? 0)).toBeGreaterThanOrEqual(500);
  });

  it('is held and called for after two changes', () => {
    const s = begun();
    for (const kg of [36, 50, 36, 50]) s.weigh(kg).wait(5000);
    expect(s.of('decided').map((e) => e.revision)).toEqual([0, 1, 2]);
    expect(s.of('call').length).toBeGreaterThan(0);
  });

  it('that backs out is not counted and its tag waits for its return', () => {
    const s = begun().weigh(36).wait(600);
    s.give({ t: s.t, tag: '999000000000017' }).weigh(0).wait(1000);
    expect(s.of('backed-out')).toHaveLength(1);
    expect(s.of('let-go')).toHaveLength(0);
    s.weigh(36).wait(3000).letGo();
    expect(s.of('let-go')[0]?.crossing.tag).toBe('999000000000017');
  });

  it('another tag than that of the one that backed out takes its place', () => {
    const s = begun().weigh(36).wait(600);
    s.give({ t: s.t, tag: '999000000000017' }).weigh(0).wait(1000).weigh(37).wait(400);
    s.give({ t: s.t, tag: '999000000000025' }).wait(3000).letGo();
    expect(s.of('let-go')[0]?.crossing).toMatchObject({ tag: '999000000000025', unsure: false });
  });

  it('stays the same animal through pause, stop and start', () => {
    const s = begun().weigh(36).wait(3000);
    s.say({ do: 'pause' }).wait(500).say({ do: 'start' }).say({ do: 'confirm' }).wait(2000);
    s.say({ do: 'stop' }).wait(500).say({ do: 'start' }).say({ do: 'confirm' }).wait(4000).letGo();
    expect(s.of('on')).toHaveLength(1);
    expect(s.of('left')).toHaveLength(1);
  });

  it('gets the new session number when the session changes under it', () => {
    const s = begun().weigh(36).wait(3000).say({ do: 'stop' });
    s.say({ do: 'start', session: 'b', nextAnimal: 1 }).say({ do: 'confirm' }).wait(3000).letGo();
    s.weigh(37).wait(3000).letGo();
    const rows = s.of('let-go').map((e) => [e.crossing.session, e.crossing.animal]);
    expect(rows).toEqual([
      ['b', 1],
      ['b', 2],
    ]);
  });

  it('twenty animals nose to tail are twenty crossings, the weight never reaching empty', () => {
    const s = begun().weigh(36).wait(4000);
    for (let n = 0; n < 20; n += 1) {
      s.set('frontShut', false).wait(400).weigh(12).wait(200);
      s.weigh(n % 2 === 0 ? 37 : 35)
        .wait(200)
        .set('frontShut', true)
        .wait(4500);
    }
    expect(s.of('left')).toHaveLength(20);
    expect(s.of('let-go').map((e) => e.crossing.animal)).toEqual(
      [...Array(20).keys()].map((n) => n + 1),
    );
    expect(s.of('let-go').at(-1)?.crossing.flags).toContain('follower');
    expect(s.faults()).not.toContain('let-out-early');
  });

  it('opened early with nothing moving is logged to where the gate stood', () => {
    const s = begun().weigh(36).wait(200).letGo();
    expect(s.of('let-go')[0]?.crossing).toMatchObject({ exit: 'ahead', flags: ['opened-early'] });
    expect(s.faults()).toEqual([]);
    expect(s.mode()).toBe('running');
  });

  it('that passes the open front uncounted is called out and needs a look', () => {
    const s = begun().weigh(36).wait(4000).set('frontShut', false).wait(300).weigh(0).wait(600);
    s.weigh(40).wait(600).weigh(0).wait(600).set('frontShut', true).wait(300);
    expect(
      s
        .of('call')
        .map((e) => e.reason)
        .join(),
    ).toContain('went through');
    expect(s.state.gate.laneNeedsConfirm).toBe(true);
  });
});

describe('by hand', () => {
  it('works with no weigh head at all', () => {
    const s = new Script(FRONT).weigh(null).begin().say({ do: 'exit', exit: 'left' }).wait(3000);
    expect(s.of('ready')).toMatchObject([{ exit: 'left' }]);
    s.letGo();
    expect(s.of('left')[0]?.crossing).toMatchObject({
      exit: 'left',
      rule: 'by-hand',
      enteredAt: null,
    });
  });

  it('is refused aloud for an animal that has gone', () => {
    const s = begun().weigh(36).wait(4000).letGo().say({ do: 'exit', exit: 'right', animal: 1 });
    expect(s.of('refused').at(-1)).toMatchObject({ command: 'exit' });
    expect(s.of('refused').at(-1)?.reason).toContain('has gone');
  });

  it('an unsure animal that the plan sends somewhere is let go although it still looks wrong', () => {
    const plan = { ...FRONT.plan, unsure: { exit: 'right' }, allowUnsureToSlaughter: true };
    const s = new Script({ ...FRONT, plan }).begin();
    s.weigh(20).wait(100);
    for (let i = 0; i < 90; i += 1) s.weigh(i % 2 === 0 ? 20 : 44).wait(100);
    expect(s.of('decided').map((e) => [e.exit, e.rule])).toContainEqual(['right', 'unsure']);
    expect(s.of('ready').at(-1)?.exit).toBe('right');
  });
});

describe('wired buttons', () => {
  const all = ['startButton', 'pauseButton', 'exitButton.left', 'undoButton', 'answerButton'];
  const WIRED = configWith(['frontShut', ...all]);
  const press = (s: Script, name: string): Script =>
    s.set(name, true).wait(100).set(name, false).wait(600);

  it('carry a whole animal with no phone', () => {
    const s = new Script(WIRED).set('frontShut', true).wait(1000);
    press(s, 'startButton').wait(5000);
    expect(s.mode()).toBe('running');
    s.weigh(50).wait(4000);
    press(s, 'exitButton.left').wait(4000).letGo();
    expect(s.of('let-go')[0]?.crossing).toMatchObject({ exit: 'left', rule: 'by-hand' });
  });

  it('an exit button is ignored from letting go until the next is on', () => {
    const s = new Script(WIRED).set('frontShut', true).wait(1000);
    press(s, 'startButton').wait(5000).weigh(50).wait(4000).set('frontShut', false).wait(300);
    press(s, 'exitButton.left').weigh(0).wait(800).set('frontShut', true).wait(2000);
    press(s, 'exitButton.left');
    expect(s.of('on')).toHaveLength(1);
    expect(s.of('let-go')[0]?.crossing.exit).toBe('right');
  });

  it('a start held from power-up starts nothing, and after ten seconds is a fault', () => {
    const s = new Script(WIRED).set('frontShut', true).set('startButton', true).wait(11_000);
    expect(s.mode()).toBe('stopped');
    expect(s.faults()).toContain('start-button-stuck');
    expect(s.motion()).toEqual([]);
  });
});
