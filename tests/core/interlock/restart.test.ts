import { describe, expect, it } from 'vitest';
import { configWith, Script } from '../script.ts';

const INPUTS = ['frontShut', 'stopLoop', 'actuatorPower', 'laneClear', 'startButton'];

/** A lamb is on and the leaves are on their way to its exit. */
function moving(): Script {
  const s = new Script(configWith(INPUTS)).begin().weigh(30);
  while (s.moving().length === 0 && s.t < 30_000) s.wait(20);
  return s;
}

describe('one press of the wired start after an animal was let out early', () => {
  it('brings the leaves home and goes on', () => {
    const s = moving().set('frontShut', false).wait(100).weigh(0).set('laneClear', false).wait(800);
    expect(s.moving()).toEqual([]);
    expect(s.faults()).toContain('let-out-early');
    s.set('laneClear', true).set('frontShut', true).wait(3000);
    const before = s.motion().length;
    s.set('startButton', true).wait(300).set('startButton', false).wait(6000);
    expect(s.motion().length).toBeGreaterThan(before);
    expect(s.mode()).toBe('running');
    expect(s.state.gate.at).toBe(s.config.gate.home);
  });
});
