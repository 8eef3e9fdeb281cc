import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import {
  loadProfile,
  PROFILE_KINDS,
  profileJsonSchema,
  profileNames,
  readAnyProfile,
  readProfile,
  shippedProfiles,
} from '../../src/config/profiles.ts';
import { formatError } from '../../src/config/yaml.ts';
import { forbiddenFindings } from '../../src/config/gate-zones.ts';
import fc from 'fast-check';

function gateErrors(text: string): string[] {
  const read = readProfile('gate', text, 'g.yaml');
  return read.ok ? [] : read.errors.map(formatError);
}

function boardErrors(text: string): string[] {
  const read = readProfile('board', text, 'b.yaml');
  return read.ok ? [] : read.errors.map(formatError);
}

describe('the shipped profiles', () => {
  const files = PROFILE_KINDS.flatMap((kind) =>
    profileNames(kind, null).map((name): [string, string] => [kind, name]),
  );

  it('are those that the files are', () => {
    const all = readdirSync(shippedProfiles(), { recursive: true, encoding: 'utf8' });
    expect(files).toHaveLength(all.filter((file) => file.endsWith('.yaml')).length);
    expect(profileNames('gate', null)).toEqual([
      'five-way',
      'four-way',
      'three-way',
      'three-way-switched',
      'two-way',
    ]);
  });

  it.each(files)('%s %s loads, and is short enough to be read', (kind, name) => {
    const file = join(shippedProfiles(), `${kind}s`, `${name}.yaml`);
    const text = readFileSync(file, 'utf8');
    const any = readAnyProfile(text, file);
    expect(any.kind).toBe(kind);
    if (any.kind === null) return;
    expect(any.read.ok ? [] : any.read.errors.map(formatError)).toEqual([]);
    expect(text.split('\n').length).toBeLessThan(50);
    expect(text).toMatch(/^# /m);
  });

  it('have a JSON Schema each that names their settings', () => {
    for (const kind of PROFILE_KINDS) {
      const text = JSON.stringify(profileJsonSchema(kind));
      expect(text).toContain('"additionalProperties":false');
      expect(text).toContain('"about"');
    }
  });
});

describe('a shipped profile with a piece cut out or put in', () => {
  const texts = PROFILE_KINDS.flatMap((kind) =>
    profileNames(kind, null).map((name) => {
      const file = join(shippedProfiles(), `${kind}s`, `${name}.yaml`);
      return { kind, text: readFileSync(file, 'utf8') };
    }),
  );
  const piece = fc.oneof(
    fc.string({ maxLength: 6 }),
    fc.constantFrom(
      '0',
      '-1',
      '1e9',
      'null',
      '[]',
      '{}',
      ': ',
      '\n',
      '\n  ',
      '"',
      '!!x ',
      '&a ',
      '*a',
    ),
  );

  it('gives a value or errors inside the text, never an exception', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...texts),
        fc.nat(2000),
        fc.nat(30),
        piece,
        (from, at, cut, more) => {
          const start = at % from.text.length;
          const text = from.text.slice(0, start) + more + from.text.slice(start + cut);
          const read = readProfile(from.kind, text, 'p.yaml');
          if (read.ok) return;
          const lines = text.split('\n');
          expect(read.errors.length).toBeGreaterThan(0);
          for (const { line, column } of read.errors) {
            expect(line).toBeLessThanOrEqual(lines.length);
            expect(column).toBeLessThanOrEqual((lines[line - 1] ?? '').length + 1);
          }
        },
      ),
      { numRuns: 400 },
    );
  });
});

describe('a profile by name', () => {
  it('is null where there is none', () => {
    expect(loadProfile('gate', 'nine-way', null)).toBeNull();
  });

  it('of an unknown kind is an error with the nearest kind', () => {
    const any = readAnyProfile('kind: gaet\n', 'p.yaml');
    expect(any.kind === null && any.errors.map(formatError)).toEqual([
      'p.yaml:1:7: "kind" cannot be "gaet". Did you mean "gate"?',
    ]);
  });
});

const leaf = (name: string, more = ''): string =>
  `  - { name: ${name}, travelMs: 800, opening: retract, duty: continuous${more} }\n`;
const gate = (leaves: string, exits: string, rest = ''): string =>
  `kind: gate\nname: G\nabout: G\nleaves:\n${leaves}exits:\n${exits}home: ahead\n${rest}`;
const twoExits = '  left: { leafA: extended }\n  ahead: { leafA: retracted }\n';
const threeExits =
  '  left: { leafA: extended, leafB: retracted }\n' +
  '  ahead: { leafA: retracted, leafB: retracted }\n' +
  '  right: { leafA: retracted, leafB: extended }\n';

describe('a gate', () => {
  const table: [string, string, string[]][] = [
    ['that is sound', gate(leaf('leafA'), twoExits), []],
    [
      'with a middle position',
      gate(leaf('leafA'), `${twoExits}  right: { leafA: middle }\n`),
      [
        'g.yaml:9:19: "leafA" asks for a middle position, which needs a switch of its own and is not known here. Use a second leaf, so that every exit is a combination of ends: extended, retracted.',
      ],
    ],
    [
      'with a dead time that is too short',
      gate(leaf('leafA'), twoExits, 'deadTimeMs: 200\n'),
      ['g.yaml:10:13: "deadTimeMs" is 200 ms, out of range. Give 250 to 2000 ms.'],
    ],
    [
      'with a drop-out relay that takes longer than it may',
      gate(leaf('leafA'), twoExits, 'dropOutMs: 201\n'),
      ['g.yaml:10:12: "dropOutMs" is 201 ms, out of range. Give 20 to 200 ms.'],
    ],
    [
      'with over-travel and no switches',
      gate(leaf('leafA', ', overTravelMs: 100'), twoExits),
      ['g.yaml:5:85: a leaf without end switches has no over-travel. Write 0.'],
    ],
    [
      'with too much over-travel',
      gate(leaf('leafA', ', endSwitches: true, overTravelMs: 501'), twoExits),
      ['g.yaml:5:104: "overTravelMs" is 501 ms, out of range. Give 0 to 500 ms.'],
    ],
    [
      'with a duty that no stroke fits into',
      gate(leaf('leafA').replace('continuous', '{ onMs: 3900, periodMs: 20000 }'), twoExits),
      [
        'g.yaml:5:67: a stroke of up to 1000 ms is more than a quarter of this on-time. Give the S3 rating over its whole cycle, 600000 ms unless its plate says another.',
      ],
    ],
    [
      'with two exits that are the same',
      gate(leaf('leafA'), `${twoExits}  right: { leafA: extended }\n`),
      [
        'g.yaml:9:10: exits left and right are the same combination. Give each exit ends of its own.',
      ],
    ],
    [
      'with an exit that says nothing of a leaf, and a leaf that is not there',
      gate(leaf('leafA'), `${twoExits}  right: { leafB: extended }\n`),
      [
        'g.yaml:9:10: exit right does not say where leafA stands. Add leafA: extended or retracted.',
        'g.yaml:9:12: "leafB" is not a leaf of this gate. Its leaves: leafA.',
      ],
    ],
    [
      'with a home that is no exit',
      gate(leaf('leafA'), twoExits.replace('ahead', 'right')),
      ['g.yaml:9:7: "ahead" is not an exit of this gate. Write one of: left, right.'],
    ],
    [
      'with one exit only',
      gate(leaf('leafA'), '  ahead: { leafA: retracted }\n'),
      ['g.yaml:7:3: a gate has two to five exits, not 1. List each.'],
    ],
    [
      'whose leaves can meet on their way from left to right',
      gate(
        leaf('leafA') + leaf('leafB'),
        threeExits,
        'forbidden:\n  - { leafA: extended, leafB: extended }\n',
      ),
      [
        'g.yaml:13:5: the leaves can pass through leafA extended with leafB extended on their way between exits. Set the leaves so that this does no harm and remove the line, or choose other ends.',
      ],
    ],
    [
      'whose leaves can meet half-way',
      gate(
        leaf('leafA') + leaf('leafB'),
        threeExits,
        'forbidden:\n  - { leafA: between, leafB: between }\n',
      ),
      [
        'g.yaml:13:5: the leaves can pass through leafA between with leafB between on their way between exits. Set the leaves so that this does no harm and remove the line, or choose other ends.',
      ],
    ],
  ];
  it.each(table)('%s', (_, text, expected) => {
    expect(gateErrors(text)).toEqual(expected);
  });

  // Leaf B stays drawn in at every exit; only homing finds it pushed out.
  const folded = (home: string, order: string[]): string =>
    gate(
      order.map((name) => leaf(name)).join(''),
      '  ahead: { leafA: extended, leafB: retracted }\n  left: { leafA: retracted, leafB: retracted }\n',
      'forbidden:\n  - { leafA: extended, leafB: extended }\n',
    ).replace('home: ahead', `home: ${home}`);

  it('whose forbidden combination no way between exits can pass, and whose homing avoids it', () => {
    expect(gateErrors(folded('left', ['leafA', 'leafB']))).toEqual([]);
    expect(gateErrors(folded('ahead', ['leafB', 'leafA']))).toEqual([]);
  });

  it('that homing could lead through the forbidden, with the order that does not', () => {
    expect(gateErrors(folded('ahead', ['leafA', 'leafB']))).toEqual([
      'g.yaml:10:7: homing to ahead, leaf by leaf, can pass through a forbidden combination. List the leaves in the order leafB, leafA.',
    ]);
  });

  it('that no order of homing brings home safely', () => {
    const text = gate(
      leaf('leafA') + leaf('leafB'),
      '  ahead: { leafA: extended, leafB: extended }\n  left: { leafA: extended, leafB: retracted }\n',
      'forbidden:\n  - { leafA: between, leafB: between }\n  - { leafA: between, leafB: extended }\n  - { leafA: between, leafB: retracted }\n',
    );
    expect(gateErrors(text)).toEqual([
      'g.yaml:10:7: homing to ahead, leaf by leaf, can pass through a forbidden combination. Home to another exit.',
    ]);
  });
});

describe('forbidden combinations, against leaves moved at random', () => {
  type Zone = 'retracted' | 'between' | 'extended';
  const names = ['leafA', 'leafB', 'leafC'];
  const end = fc.constantFrom<'retracted' | 'extended'>('retracted', 'extended');
  const zones = fc.dictionary(
    fc.constantFrom(...names),
    fc.constantFrom<Zone>('retracted', 'between', 'extended'),
    { minKeys: 2, noNullPrototype: true },
  );
  const gates = fc.record({
    exits: fc.array(fc.tuple(end, end, end), { minLength: 2, maxLength: 5 }),
    forbidden: fc.array(zones, { minLength: 1, maxLength: 2 }),
  });
  /** Places in tenths of the stroke: finer than the zones, and moved by many at once. */
  const zoneOf = (place: number): Zone =>
    place === 0 ? 'retracted' : place === 10 ? 'extended' : 'between';
  const meets = (places: number[], forbidden: Record<string, Zone>): boolean =>
    Object.entries(forbidden).every(
      ([name, zone]) => zoneOf(places[names.indexOf(name)] ?? 0) === zone,
    );

  it('are never met in a gate that was let pass', () => {
    let passed = 0;
    const moves = fc.array(
      fc.record({
        exit: fc.nat(4),
        speeds: fc.array(fc.nat(3), { minLength: 3, maxLength: 3 }),
        steps: fc.nat(12),
      }),
      { minLength: 5, maxLength: 40 },
    );
    fc.assert(
      fc.property(gates, moves, (drawn, plan) => {
        const exits = Object.fromEntries(
          drawn.exits.map((ends, i) => [
            `e${i}`,
            Object.fromEntries(names.map((name, j) => [name, ends[j] ?? 'retracted'])),
          ]),
        );
        const gate = {
          leaves: names.map((name) => ({ name })),
          exits,
          home: 'e0',
          forbidden: drawn.forbidden,
        };
        fc.pre(!forbiddenFindings(gate).some(({ path }) => path[0] === 'forbidden'));
        passed += 1;
        let met = false;
        let places: number[] = (drawn.exits[0] ?? []).map((one) => (one === 'extended' ? 10 : 0));
        for (const { exit, speeds, steps } of plan) {
          const target = (drawn.exits[exit % drawn.exits.length] ?? []).map((one) =>
            one === 'extended' ? 10 : 0,
          );
          for (let n = 0; n < steps; n++) {
            places = places.map((place, i) => {
              const far = (target[i] ?? place) - place;
              return place + Math.sign(far) * Math.min(Math.abs(far), speeds[i] ?? 0);
            });
            met ||= drawn.forbidden.some((forbidden) => meets(places, forbidden));
          }
        }
        expect(met).toBe(false);
      }),
      { numRuns: 500 },
    );
    expect(passed).toBe(500);
  });
});

describe('a board', () => {
  const board = (outputs: string, inputs = '{}', buffered = false): string =>
    `kind: board\nname: B\nabout: B\ntype: wired\ngpio: { chip: pinctrl-bcm2711, buffered: ${buffered} }\noutputs: ${outputs}\ninputs: ${inputs}\n`;

  const table: [string, string, string[]][] = [
    [
      'that is sound',
      board(
        '{ leafA.extend: { gpio: 17 } }',
        '{ frontShut: { gpio: 5, active: low, bias: pull-up } }',
      ),
      [],
    ],
    [
      'with an actuator on a line that is high at power-on',
      board('{ leafA.extend: { gpio: 4 } }'),
      [
        'b.yaml:6:34: GPIO4 is high or chatters while the Pi boots, so leafA.extend could go on by itself. Use GPIO9 to 13 or 16 to 27 with a pull-down.',
      ],
    ],
    [
      'with the keep-alive on the console’s line',
      board('{ keepAlive: { gpio: 14 } }'),
      [
        'b.yaml:6:31: GPIO14 is high or chatters while the Pi boots, so keepAlive could go on by itself. Use GPIO9 to 13 or 16 to 27 with a pull-down.',
      ],
    ],
    [
      'with active-low 5 V relays and no buffer',
      board('{ leafA.extend: { gpio: 17, active: low } }'),
      [
        'b.yaml:6:46: an active-low relay can be on whenever the Pi boots or is off, and 3.3 V may not switch a 5 V input off. Use an active-high board, or put a buffer with an enable between and write buffered: true.',
      ],
    ],
    [
      'with active-low 5 V relays behind a buffer',
      board('{ leafA.extend: { gpio: 17, active: low } }', '{}', true),
      [],
    ],
    [
      'on which a broken wire of a safety contact reads as safe',
      board('{}', '{ frontShut: { gpio: 5, active: high, bias: pull-up } }'),
      [
        'b.yaml:7:22: a broken wire of frontShut would read as safe. Wire it live in its permissive state: active high with pull-down, or active low with pull-up.',
      ],
    ],
    [
      'on which a broken wire of a safety contact would float',
      board(
        '{}',
        '{ frontShut: { gpio: 5 }, stopLoop: { gpio: 6, active: low }, laneClear: { gpio: 7, externalPull: true }, backShut: { gpio: 8 } }',
      ),
      [
        'b.yaml:7:22: a broken wire of frontShut would float and could read as safe. Write bias: pull-down, or externalPull: true where a resistor pulls it to off.',
        'b.yaml:7:45: a broken wire of stopLoop would float and could read as safe. Write bias: pull-up, or externalPull: true where a resistor pulls it to off.',
      ],
    ],
    [
      'on which the Pi itself pulls a safety contact to safe, whatever pulls besides',
      board('{}', '{ frontShut: { gpio: 5, bias: pull-up, externalPull: true } }'),
      [
        'b.yaml:7:22: a broken wire of frontShut would read as safe. Wire it live in its permissive state: active high with pull-down, or active low with pull-up.',
      ],
    ],
    [
      'with an active-low keep-alive and no buffer',
      board('{ keepAlive: { gpio: 24, active: low } }'),
      [
        'b.yaml:6:43: an active-low relay can be on whenever the Pi boots or is off, and 3.3 V may not switch a 5 V input off. Use an active-high board, or put a buffer with an enable between and write buffered: true.',
      ],
    ],
    [
      'with two names on one line',
      board('{ sounder: { gpio: 17 } }', '{ backShut: { gpio: 17 } }'),
      ['b.yaml:7:21: backShut and sounder share GPIO17. Give each its own.'],
    ],
    [
      'with the stop loop and the keep-alive on Modbus',
      'kind: board\nname: B\nabout: B\ntype: wired\nmodbus: {}\noutputs: { keepAlive: { coil: 1 } }\ninputs: { stopLoop: { discrete: 1 } }\n',
      [
        'b.yaml:6:23: the keep-alive cannot be on Modbus. Put it on a GPIO line: its edges time the drop-out.',
        'b.yaml:7:21: the stop loop cannot be on Modbus. Put it on a GPIO line: a pulse between polls must be seen.',
      ],
    ],
    [
      'with one direction of a leaf on a GPIO line and the other on Modbus',
      'kind: board\nname: B\nabout: B\ntype: wired\ngpio: { chip: c, buffered: false }\nmodbus: {}\noutputs: { leafA.retract: { coil: 1 }, leafA.extend: { gpio: 17 } }\ninputs: {}\n',
      [
        'b.yaml:7:54: leafA.extend and leafA.retract are one on a GPIO line and one on Modbus: the dead time between them could not be kept. Put both directions of a leaf on the same board.',
      ],
    ],
    [
      'with a coil and no Modbus',
      board('{ sounder: { coil: 1 } }'),
      [
        'b.yaml:6:21: sounder is on a Modbus address but the profile has no "modbus:". Add modbus: with its unit.',
      ],
    ],
  ];
  it.each(table)('%s', (_, text, expected) => {
    expect(boardErrors(text)).toEqual(expected);
  });
});

describe('a crate', () => {
  it('that would be loaded and empty at once', () => {
    const text =
      'kind: crate\nname: C\nabout: C\ntype: clamp\ncontacts: []\nloadingKg: 4\nemptyKg: 6\n';
    const read = readProfile('crate', text, 'c.yaml');
    expect(read.ok ? [] : read.errors.map(formatError)).toEqual([
      'c.yaml:7:10: the crate would count as empty at 6 kg but as loaded over 4 kg. Give emptyKg less than loadingKg.',
    ]);
  });
});
