/** Each fault that is injected, and the finding that must name it. */
import type { Wrong } from './workshop.ts';

export interface Injected {
  fault: string;
  wrong: Wrong;
  /** Name of the finding. */
  found: string;
  /** Words of its cause that mean the fault. */
  cause: RegExp;
}

export const faults: readonly Injected[] = [
  {
    fault: 'wind on the crate',
    wrong: { head: { noiseKg: 0.5 } },
    found: 'empty-noisy',
    cause: /wind/i,
  },
  {
    fault: 'platform swings twice a second',
    wrong: { swing: { kg: 0.8, hertz: 2.1 } },
    found: 'platform-swings',
    cause: /platform swings/,
  },
  {
    fault: 'hurdle leans on the crate now and then',
    wrong: { idleUntil: 14_000, touch: { kg: 1.4, everyMs: 4000, forMs: 1500 } },
    found: 'empty-touched',
    cause: /touches the crate: a hurdle/,
  },
  {
    fault: 'load bar loose',
    wrong: { looseKg: 1.5, lastsMs: 60_000, animals: 8 },
    found: 'zero-wanders',
    cause: /loose load bar/,
  },
  { fault: 'muck on the platform', wrong: { muckKg: 0.25 }, found: 'zero-climbs', cause: /Muck/ },
  {
    fault: 'muck under a bar, known mass of 20 kg',
    wrong: { idleUntil: 10_000, past: { share: 0.04, knownKg: 20 } },
    found: 'known-mass-off',
    cause: /under a load bar/,
  },
  {
    fault: 'frames lost',
    wrong: { head: { lost: 0.1 } },
    found: 'frames-lost',
    cause: /poor contact/,
  },
  {
    fault: 'noise on the line',
    wrong: { garbled: 0.004 },
    found: 'frames-garbled',
    cause: /noise/,
  },
  {
    fault: 'weigh head at five a second',
    wrong: { head: { rateHz: 5 } },
    found: 'rate-differs',
    cause: /another rate/,
  },
  {
    fault: 'weigh head unplugged for eight seconds',
    wrong: { silent: { from: 14_000, to: 22_000 } },
    found: 'scale-silent',
    cause: /plug came out/,
  },
  {
    fault: 'weigh head holds its display',
    wrong: { frozenFrom: 12_000 },
    found: 'reading-frozen',
    cause: /holds its display/,
  },
  {
    fault: 'leaf slow, battery low',
    wrong: { quickness: 1.05, volts: { rest: 11.7, moving: 10.7 } },
    found: 'leaf-slow-volts',
    cause: /Low volts/,
  },
  {
    fault: 'leaf slow, hinge stiff',
    wrong: { quickness: 1.05 },
    found: 'leaf-slow-stiff',
    cause: /stiff hinge/,
  },
  {
    fault: 'leaf does not reach its end, hinge very stiff',
    wrong: { quickness: 2 },
    found: 'end-not-reached',
    cause: /hinge is stiff/,
  },
  {
    fault: 'battery nearly empty',
    wrong: { volts: { rest: 11.7, moving: 11.2 } },
    found: 'battery-empty',
    cause: /near the limit/,
  },
  {
    fault: 'battery below its limit',
    wrong: { volts: { rest: 11.3, moving: 10.8 } },
    found: 'battery-low',
    cause: /nearly empty/,
  },
  {
    fault: 'terminal corroded',
    wrong: { volts: { rest: 12.6, moving: 11.2 } },
    found: 'battery-sags',
    cause: /corroded terminal/,
  },
  {
    fault: 'charger on the battery',
    wrong: { volts: { rest: 14.1, moving: 13.8 } },
    found: 'battery-charging',
    cause: /charger/,
  },
  {
    fault: 'front switch bounces',
    wrong: { bounces: 'frontShut' },
    found: 'switch-bounces',
    cause: /bounces/,
  },
  {
    fault: 'wire of the front switch loose',
    wrong: { drops: 'frontShut' },
    found: 'wire-loose',
    cause: /loose wire/,
  },
  {
    fault: 'wire of the stop loop loose',
    wrong: { drops: 'stopLoop' },
    found: 'wire-loose',
    cause: /loose wire/,
  },
  {
    fault: 'front switch stuck shut',
    wrong: { stuck: { contact: 'frontShut', on: true } },
    found: 'front-unseen',
    cause: /switch of the front is stuck/,
  },
  {
    fault: 'end switch dead',
    wrong: { from: 20_000, stuck: { contact: 'leafB.extended', on: false } },
    found: 'contact-stuck',
    cause: /its wire is broken/,
  },
  {
    fault: 'end switch shorted',
    wrong: { stuck: { contact: 'leafB.retracted', on: true } },
    found: 'both-ends-made',
    cause: /shorted wire or a stuck switch/,
  },
  {
    fault: 'stop pressed and its wire broken',
    wrong: { stuck: { contact: 'stopLoop', on: false } },
    found: 'stop-pressed',
    cause: /its wire is broken/,
  },
  {
    fault: 'fuse of one leaf blown',
    wrong: { broken: 'blown leafB' },
    found: 'leaf-dead',
    cause: /fuse is blown/,
  },
  {
    fault: 'relay of one direction dead',
    wrong: { broken: 'open leafB.extend' },
    found: 'leaf-dead',
    cause: /relay does not pull/,
  },
  {
    fault: 'relay welded',
    wrong: { broken: 'welded leafB.extend', lastsMs: 60_000, animals: 8 },
    found: 'relay-welded',
    cause: /relay of that direction is welded/,
  },
  {
    fault: 'main fuse blown',
    wrong: { broken: 'blown rail' },
    found: 'rail-dead',
    cause: /blown fuse/,
  },
  {
    fault: 'keep-alive does not reach the drop-out relay',
    wrong: { broken: 'silent keepAlive' },
    found: 'rail-dead',
    cause: /drop-out relay/,
  },
  {
    fault: 'drop-out relay welded',
    wrong: { broken: 'welded dropOut', stopsAt: 16_000 },
    found: 'rail-live',
    cause: /welded/,
  },
  {
    fault: 'the computer stands still for 0.4 s',
    wrong: { stallMs: 400 },
    found: 'service-late',
    cause: /overloaded/,
  },
];
