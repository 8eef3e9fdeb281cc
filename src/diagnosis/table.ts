/**
 * The one table of what a diagnosis can find besides the faults that the core itself raises.
 * `docs/diagnosis.md` is compared with it by a test.
 */
export interface Cause {
  /** What shows in readings, contacts, strokes or volts. */
  what: string;
  /** Likely cause. */
  cause: string;
  /** What to do. */
  remedy: string;
}

export const CAUSES = {
  'empty-noisy': {
    what: 'The reading of the empty crate scatters.',
    cause: 'Wind, an engine that shakes the frame, or electric noise on the load bars’ cable.',
    remedy: 'Shelter the crate, stop the engine, look at the screen of the cable and its earth.',
  },
  'platform-swings': {
    what: 'The reading of the empty crate swings to and fro.',
    cause: 'The platform swings: a foot or a load bar stands loose, or a gate knocks against it.',
    remedy:
      'Set all feet firm and level, tighten the load bars, fix what swings against the crate.',
  },
  'empty-touched': {
    what: 'The reading of the empty crate steps to another weight and stays there for a while.',
    cause: 'Something touches the crate: a hurdle, a gate, a rope, or somebody leans on it.',
    remedy: 'Free the crate on all sides, two fingers wide, and keep hands off it.',
  },
  'zero-wanders': {
    what: 'After each animal the empty crate reads something else, now more and now less.',
    cause: 'A loose load bar or its bolt, or the platform rubs on its frame.',
    remedy: 'Tighten the bars, look for a stone between platform and frame, then zero.',
  },
  'zero-climbs': {
    what: 'The empty crate reads ever farther off its zero, in one direction.',
    cause: 'Muck gathers on the platform, or the bars warm up in the sun.',
    remedy: 'Clean the platform, shade the bars, then zero.',
  },
  'known-mass-off': {
    what: 'A known mass reads wrong although the zero is right.',
    cause:
      'Muck or a stone under a load bar, or the platform touches its frame: part of the weight ' +
      'goes past the bars.',
    remedy: 'Clean below the platform and round the bars, zero, check all corners again.',
  },
  'frames-lost': {
    what: 'Readings are missing, one or a few at a time.',
    cause: 'A plug with a poor contact, or the weigh head or its adapter leaves frames out.',
    remedy:
      'Push the plugs home, try another cable or adapter, compare with the head’s own display.',
  },
  'frames-garbled': {
    what: 'Bytes come that are no whole frame.',
    cause:
      'Electric noise on a long or unscreened cable, a poor plug, or a speed that is a little off.',
    remedy:
      'Keep the cable short, screened and away from actuators; use parity where the head has it.',
  },
  'rate-differs': {
    what: 'Readings come more often or more seldom than the site says.',
    cause: 'The weigh head is set to another rate.',
    remedy: 'Set scale.rateHz in site.yaml to what is measured, or set the head.',
  },
  'scale-silent': {
    what: 'The weigh head fell silent.',
    cause: 'A plug came out, the head’s battery is flat, or its adapter was lost.',
    remedy: 'Look at the head, its plug and its battery.',
  },
  'reading-frozen': {
    what: 'A weight on the crate does not move by one division for a long time.',
    cause: 'The weigh head holds its display, or something lifeless stands on the crate.',
    remedy: 'Take the head’s hold function off; look at what stands on the crate.',
  },
  'leaf-slow-volts': {
    what: 'A leaf takes longer than its profile allows, at a low voltage.',
    cause: 'Low volts: the battery is nearly empty, or its cable or a terminal loses too much.',
    remedy: 'Charge or change the battery; clean the terminals; `fank cable` for the cable.',
  },
  'leaf-slow-stiff': {
    what: 'A leaf takes longer than its profile allows, at a good voltage.',
    cause: 'A stiff hinge, muck in its way, or a worn actuator.',
    remedy: 'Lock off, pull the pin, swing the leaf by hand: free and grease it.',
  },
  'leaf-slow': {
    what: 'A leaf takes longer than its profile allows.',
    cause: 'Low volts or a stiff hinge: no battery input is fitted that would tell them apart.',
    remedy:
      'Measure the battery while the leaf moves; lock off, pull the pin, swing the leaf by hand.',
  },
  'leaf-dead': {
    what: 'A leaf does not move although it is driven.',
    cause:
      'Its fuse is blown, its relay does not pull, its plug or wire is off, its pin is out, or it ' +
      'is jammed.',
    remedy:
      'Lock off; look at its fuse, its plug and its pin, swing it by hand; try the other direction ' +
      'by holding its button.',
  },
  'relay-dead': {
    what: 'A leaf moves in one direction and not in the other.',
    cause: 'The relay of that direction does not pull or its contact is burnt, or its wire is off.',
    remedy: 'Lock off; listen for the relay, measure behind it, change it.',
  },
  'relay-welded': {
    what: 'A leaf went to one end by itself and does not leave it any more.',
    cause: 'The relay of that direction is welded: with both relays on, the actuator brakes.',
    remedy: 'Disconnect the battery; change the relay before anything moves again.',
  },
  'switch-bounces': {
    what: 'A contact changes several times where it should change once.',
    cause: 'A switch that bounces: worn, loose, or struck too hard.',
    remedy: 'Fix or change the switch, give it a softer stop.',
  },
  'wire-loose': {
    what: 'A contact drops out for a moment and comes back, with nothing to cause it.',
    cause: 'A loose wire, water in a plug, or a switch on the edge of its travel.',
    remedy: 'Push and pull at its wire and plug while somebody watches the page; dry the plug.',
  },
  'contact-stuck': {
    what: 'A contact no longer changes although it must have.',
    cause: 'The switch is stuck or out of place, or its wire is broken or shorted.',
    remedy: 'Work the switch by hand and watch the page; look at its wire.',
  },
  'battery-empty': {
    what: 'The battery is nearly empty.',
    cause: 'Its voltage at rest is near the limit.',
    remedy: 'Charge or change it; take the charger off before sorting.',
  },
  'battery-sags': {
    what: 'The voltage falls far while a leaf moves.',
    cause: 'A thin or long cable, a corroded terminal, or a battery at its end.',
    remedy: 'Clean and tighten the terminals, `fank cable` for the cable, have the battery tested.',
  },
  'battery-charging': {
    what: 'The battery is above any voltage of rest.',
    cause: 'A charger is on it while the gate is worked.',
    remedy:
      'Take the charger off while sorting: no charger and no fence energiser on this battery.',
  },
  'service-late': {
    what: 'The service came late.',
    cause: 'The computer is overloaded or hot, or its supply is weak.',
    remedy: 'Look at the supply (`fank check`), at the heat and at what else runs on it.',
  },
} as const satisfies Record<string, Cause>;

export type CauseName = keyof typeof CAUSES;
