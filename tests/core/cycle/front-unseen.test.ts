import { describe, expect, it } from 'vitest';
import { configWith, Script } from '../script.ts';

const INPUTS = ['frontShut', 'stopLoop', 'laneClear'];

/** A light lamb has its signal; the next one will be for another exit. */
function signalled(inputs: string[] = INPUTS): Script {
  const s = new Script(configWith(inputs)).begin().weigh(30).wait(5000);
  expect(s.of('ready')).toHaveLength(1);
  return s;
}

describe('an animal that was let go and went with the front never seen open', () => {
  it('is a fault, and nothing moves before somebody has looked', () => {
    const s = signalled().weigh(0).wait(600);
    expect(s.faults()).toEqual(['front-unseen']);
    const before = s.motion().length;
    s.weigh(50).wait(3000);
    expect(s.motion()).toHaveLength(before);
    s.say({ do: 'confirm' }).wait(3000);
    expect(s.motion().length).toBeGreaterThan(before);
    expect(s.of('fault').at(-1)).toMatchObject({ fault: 'front-unseen', on: false });
  });

  it('is none where the back was open: it went back', () => {
    const s = signalled([...INPUTS, 'backShut'])
      .set('backShut', false)
      .weigh(0)
      .wait(600);
    expect(s.faults()).toEqual([]);
    expect(s.of('backed-out')).toHaveLength(1);
  });

  it('is none before the signal', () => {
    const s = new Script(configWith(INPUTS)).begin().weigh(30).wait(200).weigh(0).wait(600);
    expect(s.faults()).toEqual([]);
  });
});

describe('a second animal let out before the first was seen to leave the lane', () => {
  it('holds the gate until somebody has looked, although the beam broke once', () => {
    const s = signalled().letGo(200);
    s.weigh(30).wait(3000).letGo(200);
    s.set('laneClear', false).wait(300).set('laneClear', true).wait(2000);
    const before = s.motion().length;
    s.weigh(50).wait(3000);
    expect(s.state.gate.laneNeedsConfirm).toBe(true);
    expect(s.motion()).toHaveLength(before);
    s.say({ do: 'confirm' }).wait(3000);
    expect(s.motion().length).toBeGreaterThan(before);
  });
});
