import { describe, expect, it } from 'vitest';
import { resolveGate } from '../../../src/config/gates.ts';
import { loadProfile, profileNames } from '../../../src/config/profiles.ts';
import { configWith, Script } from '../script.ts';

const INPUTS = ['frontShut', 'stopLoop', 'actuatorPower', 'laneClear', 'startButton'];

const EMPTY =
  'the leaves go home once the crate is empty: shut the back, let the animal out, shut the front';

/** The sounder gives a sound within the next six seconds. */
function sounds(s: Script): boolean {
  let heard = false;
  for (let i = 0; i < 60; i += 1) heard = s.wait(100).outputs['sounder'] === true || heard;
  return heard;
}

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

  it('calls at once for an animal that stands on the crate, since nothing moves before it has gone', () => {
    const s = moving().set('frontShut', false).wait(100).set('frontShut', true).wait(3000);
    const pressed = s.t;
    s.set('startButton', true).wait(300).set('startButton', false).wait(1000);
    expect([s.mode(), s.moving()]).toEqual(['homing', []]);
    const call = s.of('call').find((e) => e.t > pressed);
    expect(call?.reason).toBe(EMPTY);
    expect(call?.t).toBeLessThan(pressed + 200);
    expect(sounds(s)).toBe(true);
    s.set('frontShut', false).wait(300).weigh(0).set('laneClear', false).wait(800);
    s.set('laneClear', true).set('frontShut', true).wait(6000);
    expect([s.mode(), s.state.gate.at]).toEqual(['running', s.config.gate.home]);
    expect(s.of('call').filter((e) => e.reason === EMPTY)).toHaveLength(1);
  });
});

describe('a drop-out relay that does not fall', () => {
  /** A shipped gate profile with the rail's input wired; the rail stays live whatever happens. */
  const welded = (name: string, inputs = INPUTS): Script => {
    const loaded = loadProfile('gate', name, null);
    if (loaded?.ok !== true) throw new Error(name);
    const shipped = resolveGate(loaded.value);
    const rested = shipped.leaves.map((leaf) => ({ ...leaf, duty: null }));
    const gate = { ...shipped, leaves: rested };
    const switches = gate.leaves
      .filter((leaf) => leaf.endSwitches)
      .flatMap((leaf) => [`${leaf.name}.extended`, `${leaf.name}.retracted`]);
    const s = new Script(configWith([...inputs, ...switches], { gate }), true);
    for (const input of inputs) if (input !== 'startButton') s.set(input, true);
    for (const input of switches) s.set(input, input.endsWith('.retracted'));
    return s;
  };
  const stopped = (name: string, inputs = INPUTS): Script =>
    welded(name, inputs).wait(100).say({ do: 'start' }).wait(2000).say({ do: 'stop' });

  it.each(profileNames('gate', null))('%s: is named half a second after a stop', (name) => {
    const s = stopped(name);
    const at = s.t;
    s.wait(2000);
    expect(s.of('fault').map((e) => [e.fault, e.on, e.t - at])).toEqual([['rail-live', true, 520]]);
    s.say({ do: 'start' }).wait(500);
    expect([s.mode(), s.moving()]).toEqual(['stopped', []]);
    expect(s.of('refused').at(-1)?.reason).toContain('rail-live');
  });
  it('is named before the first start too', () => {
    expect(welded('three-way').wait(1000).faults()).toEqual(['rail-live']);
  });
  it('without that input nothing is said', () => {
    const inputs = INPUTS.filter((name) => name !== 'actuatorPower');
    expect(stopped('three-way', inputs).wait(2000).faults()).toEqual([]);
  });
});
