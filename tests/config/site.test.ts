import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { configForTrace, defaultConfig } from '../../src/config/defaults.ts';
import { changeYaml } from '../../src/config/edit.ts';
import { replaceFile } from '../../src/config/files.ts';
import { canonicalJson, hashOf } from '../../src/config/hash.ts';
import { loadSite, type LoadOptions, type ResolvedSite } from '../../src/config/load.ts';
import { shippedProfiles } from '../../src/config/profiles.ts';
import { siteJsonSchema, siteSchema } from '../../src/config/site.ts';
import { formatError, type ConfigError } from '../../src/config/yaml.ts';

let dir = '';
beforeEach(() => {
  dir = join(mkdtempSync(join(tmpdir(), 'fank-config-')), 'site');
});
afterEach(() => {
  rmSync(join(dir, '..'), { recursive: true, force: true });
});

function put(name: string, text: string): void {
  mkdirSync(join(dir, name, '..'), { recursive: true });
  writeFileSync(join(dir, name), text);
}

/** The file that a new site starts with, changed. */
function siteText(from: string | RegExp = '', to = ''): string {
  loadSite(dir);
  const text = readFileSync(join(dir, 'site.yaml'), 'utf8');
  const changed = text.replace(from, to);
  if (from !== '' && changed === text) throw new Error('nothing was changed');
  return changed;
}

function words(list: ConfigError[]): string[] {
  return list.map((error) => formatError(error).replace(`${dir}/`, ''));
}

function errors(options?: LoadOptions): string[] {
  const result = loadSite(dir, options);
  return result.ok ? [] : words(result.errors);
}

function loaded(options?: LoadOptions): ResolvedSite {
  const result = loadSite(dir, options);
  if (!result.ok) throw new Error(result.errors.map(formatError).join('\n'));
  return result.value;
}

describe('a new site', () => {
  it('is made where there is none, and loads', () => {
    const { config, ports, boardProfile } = loaded();
    for (const name of ['site.yaml', 'plans/by-weight.yaml', 'profiles', 'traces'])
      expect(existsSync(join(dir, name))).toBe(true);
    expect(ports).toEqual({ scale: null, reader: null, board: null });
    expect(boardProfile.type).toBe('simulated');
    expect(config.inputs).toEqual(['frontShut', 'laneClear', 'stopLoop', 'actuatorPower']);
    const { gate } = defaultConfig();
    const same = { plan: null, inputs: null };
    const duty = { onMs: 240_000, periodMs: 600_000 };
    const leaves = gate.leaves.map((leaf) => ({ ...leaf, duty }));
    const own = { ...gate, leaves, dropOutMs: 200 };
    const expected = { ...defaultConfig(), noReader: true, ...same, gate: own };
    expect({ ...config, ...same }).toEqual(expected);
    expect({ ...config.plan, name: '' }).toEqual({ ...defaultConfig().plan, name: '' });
  });

  it('gives the same value and hash when it is loaded again, and nothing is touched', () => {
    const first = loaded();
    const text = readFileSync(join(dir, 'site.yaml'), 'utf8');
    expect(loaded()).toEqual(first);
    expect(first.hash).toMatch(/^[0-9a-f]{64}$/);
    expect(readFileSync(join(dir, 'site.yaml'), 'utf8')).toBe(text);
  });

  it('is frozen through and through', () => {
    const { config } = loaded();
    expect(() => {
      (config.gate.leaves[0] as { travelMs: number }).travelMs = 1;
    }).toThrow(TypeError);
  });

  it('hashes to something else when a setting changes, but not when a comment does', () => {
    const { hash } = loaded();
    put('site.yaml', siteText('# This yard.', '# Our yard.'));
    expect(loaded().hash).toBe(hash);
    put('site.yaml', siteText('maxKg: 200', 'maxKg: 250'));
    expect(loaded().hash).not.toBe(hash);
  });

  it('that cannot be made is an error, not an exception', () => {
    mkdirSync(join(dir, '..'), { recursive: true });
    writeFileSync(dir, 'a file in its place');
    const result = loadSite(dir);
    expect(result.ok).toBe(false);
    expect(errors()).toEqual([
      `${dir}:1:1: the site folder cannot be made (ENOTDIR). Name a folder that may be written with --site.`,
    ]);
  });
});

describe('the default configuration', () => {
  it('is the one that traces without a site are replayed on', () => {
    const config = defaultConfig({
      scale: { divisionKg: 0.5, rateHz: 1 },
      inputs: ['frontShut', 'stopLoop'],
    });
    expect(config.gate).toEqual({
      exits: {
        left: { leafA: 'extended', leafB: 'retracted' },
        ahead: { leafA: 'retracted', leafB: 'retracted' },
        right: { leafA: 'retracted', leafB: 'extended' },
      },
      leaves: ['leafA', 'leafB'].map((name) => ({
        name,
        travelMs: 800,
        maxOnMs: 1000,
        overTravelMs: 0,
        endSwitches: false,
        opening: 'retract',
        duty: null,
      })),
      home: 'ahead',
      deadTimeMs: 250,
      warnMs: { first: 300, later: 0 },
      staggerMs: 100,
      laneHoldMs: 1000,
      rehomeAfterStrokes: 50,
      dropOutMs: null,
      forbidden: [],
    });
    expect(config.crate).toEqual({
      kind: 'hand-gates',
      loadingKg: 8,
      emptyKg: 4,
      takeBackMs: 500,
      heldCallMs: 60_000,
      debounceMs: 40,
    });
    expect(config.scale).toEqual({ divisionKg: 0.5, rateHz: 1, maxKg: 200, staleMs: 3000 });
    expect(config.inputs).toEqual(['frontShut', 'stopLoop']);
    expect(config.keepAliveProved).toBe(true);
    expect(config.battery).toBeNull();
    expect(config.plan.lots.map(({ name, exit, belowKg }) => [name, exit, belowKg])).toEqual([
      ['Stores', 'left', 40],
      ['Fit', 'ahead', 45],
      ['Heavy', 'right', undefined],
    ]);
    expect(config.plan.decide).toEqual({
      hysteresisKg: 0.3,
      settle: { withinKg: 0.5, forMs: 1000 },
      confidence: 0.995,
      callAfterMs: 5000,
    });
    expect(config.plan.unsure).toBe('hold');
  });

  it('has a front contact and no beam', () => {
    expect(defaultConfig().inputs).toEqual(['frontShut']);
  });

  it('is plain JSON', () => {
    expect(JSON.parse(JSON.stringify(defaultConfig()))).toEqual(defaultConfig());
  });

  it('takes the division, rate and contacts of a trace, 1.5 s or three periods being stale', () => {
    const config = configForTrace(defaultConfig(), {
      scale: { divisionKg: 0.2, rateHz: 10 },
      inputs: [],
    });
    expect(config.scale).toEqual({ divisionKg: 0.2, rateHz: 10, maxKg: 200, staleMs: 1500 });
    expect(config.inputs).toEqual([]);
  });
});

describe('a site with something wrong', () => {
  const table: [string, string | RegExp, string, string[]][] = [
    [
      'an unknown setting',
      'keepAliveProved:',
      'keepAliveProvd:',
      ['site.yaml:35:1: "keepAliveProvd" is not a setting here. Did you mean "keepAliveProved"?'],
    ],
    [
      'no such gate profile',
      'gate: three-way',
      'gate: thre-way',
      ['site.yaml:10:9: there is no gate profile "thre-way". Did you mean "three-way"?'],
    ],
    [
      'no such plan',
      'plan: by-weight',
      'plan: september',
      ['site.yaml:4:7: there is no plan "september" in plans. Known here: by-weight.'],
    ],
    [
      'a zone that is mis-spelt',
      'Europe/London',
      'Europe/Londn',
      ['site.yaml:3:7: "Europe/Londn" is not a time zone. Did you mean "Europe/London"?'],
    ],
    [
      'a division out of range',
      'divisionKg: 0.1',
      'divisionKg: 2',
      ['site.yaml:16:15: "divisionKg" is 2 kg, out of range. Give 0.05 to 1 kg.'],
    ],
    [
      'a weigh head with a port and Bluetooth, and no name to find it by',
      'divisionKg: 0.1',
      'divisionKg: 0.1\n  port: /dev/ttyUSB0\n  bluetooth: { adapter: 0 }',
      [
        'site.yaml:18:3: the weigh head has a port and Bluetooth. Keep one of the two.',
        'site.yaml:18:3: which weigh head is meant is not said. Add its name or its address, so that no other scale near is taken for it.',
      ],
    ],
    [
      'a day that is none',
      'keepAliveProved: false',
      'keepAliveProved: 2026-13-14',
      [
        'site.yaml:35:18: "keepAliveProved" is no day of the calendar. Write it as year-month-day, or false.',
      ],
    ],
    [
      'a path out of the folder',
      'gate: three-way',
      'gate: ../../etc/passwd',
      [
        'site.yaml:10:9: "gate" must be the name of a file without its folder and without .yaml. Write such as three-way.',
      ],
    ],
    [
      'words for an exit that the gate lacks',
      'page:\n',
      'exitWords: { ledt: road side }\npage:\n',
      ['site.yaml:20:14: "ledt" is not an exit of gate three-way. Did you mean "left"?'],
    ],
    [
      'thresholds the wrong way round',
      'page:\n',
      'crate: { emptyKg: 10 }\npage:\n',
      [
        'site.yaml:20:19: the crate would count as empty at 10 kg but as loaded over 8 kg. Give emptyKg less than loadingKg.',
      ],
    ],
    [
      'a gate with more leaves than the board has relays, and exits that the plan lacks',
      'board: simulated # no wires; pi-gpio and modbus-relays are the shipped ones that drive relays\n  gate: three-way',
      'board: pi-gpio\n  gate: four-way',
      ['extend', 'retract'].map(
        (way) =>
          `site.yaml:9:10: board pi-gpio has no output "leafC.${way}". Add the line of that relay, or choose a gate without that leaf.`,
      ),
    ],
    [
      'a gate whose end switches are not wired',
      /board: simulated.*\n {2}gate: three-way/,
      'board: pi-gpio\n  gate: three-way-switched',
      ['leafA.extended', 'leafA.retracted', 'leafB.extended', 'leafB.retracted'].map(
        (name) =>
          `site.yaml:9:10: board pi-gpio has no input "${name}", which gate three-way-switched needs. Wire it and add it to the board profile, or choose a profile without it.`,
      ),
    ],
    [
      'a crate whose contacts are not wired',
      /board: simulated.*\n(.*\n)  crate: hand-gates/,
      'board: pi-gpio\n$1  crate: linked-gates',
      [
        'site.yaml:9:10: board pi-gpio has no input "backShut", which crate linked-gates needs. Wire it and add it to the board profile, or choose a profile without it.',
      ],
    ],
  ];
  it.each(table)('%s', (_, from, to, expected) => {
    put('site.yaml', siteText(from, to));
    expect(errors()).toEqual(expected);
  });

  it('is told of every broken file at once', () => {
    put('site.yaml', siteText('gate: three-way', 'gate: mine'));
    put('profiles/mine.yaml', 'kind: gate\nleaves: 3\n');
    put('plans/by-weight.yaml', 'plan: 1\nnmae: x\n');
    const files = errors().map((line) => line.split(':')[0]);
    expect(files).toContain('profiles/mine.yaml');
    expect(files).toContain('plans/by-weight.yaml');
    put('site.yaml', siteText('rateHz: 10', 'rateHz: 100'));
    expect([...new Set(errors().map((line) => line.split(':')[0]))]).toEqual([
      'site.yaml',
      'profiles/mine.yaml',
      'plans/by-weight.yaml',
    ]);
  });

  it('still says where to serve the page', () => {
    put('site.yaml', siteText('port: 8080', 'port: 8123'));
    put('plans/by-weight.yaml', 'plan: [\n');
    const result = loadSite(dir);
    expect(result.ok ? null : [result.page, result.site?.zone]).toEqual([
      { host: '0.0.0.0', port: 8123, openLooking: true },
      'Europe/London',
    ]);
    put('site.yaml', siteText('zone:', 'zoen:'));
    const elsewhere = loadSite(dir);
    expect(elsewhere.ok ? null : elsewhere.page.port).toBe(8123);
    put('site.yaml', ']');
    const worse = loadSite(dir);
    expect(worse.ok ? null : worse.page.port).toBe(8080);
  });

  it('that is not text is an error at its first bad byte', () => {
    loadSite(dir);
    writeFileSync(join(dir, 'site.yaml'), Buffer.from([0x73, 0x0a, 0x61, 0xff]));
    expect(errors()).toEqual(['site.yaml:2:2: this is not UTF-8 text. Save the file as UTF-8.']);
  });

  it('whatever it is, is never an exception', () => {
    const text = siteText();
    fc.assert(
      fc.property(fc.nat(text.length), fc.nat(20), fc.string({ maxLength: 8 }), (at, cut, more) => {
        put('site.yaml', text.slice(0, at) + more + text.slice(at + cut));
        const result = loadSite(dir);
        if (!result.ok) expect(result.errors.length).toBeGreaterThan(0);
      }),
      { numRuns: 60 },
    );
  });
});

describe('what works but will trip somebody', () => {
  function warnings(options?: LoadOptions): string[] {
    const result = loadSite(dir, options);
    if (!result.ok) throw new Error(result.errors.map(formatError).join('\n'));
    return words(result.warnings);
  }

  it('is a bare name of a USB port', () => {
    put('site.yaml', siteText('scale:\n  division', 'scale:\n  port: /dev/ttyUSB0\n  division'));
    expect(warnings()).toEqual([
      'site.yaml:16:9: /dev/ttyUSB0 can be another device after the next plugging in. Use its name in /dev/serial/by-id (or by-path).',
    ]);
    expect(loaded().ports.scale).toBe('/dev/ttyUSB0');
  });

  it('is a board with neither front contact nor beam', () => {
    put('profiles/simulated.yaml', 'kind: board\nname: B\nabout: B\ntype: simulated\ninputs: []\n');
    expect(warnings()).toEqual([
      'site.yaml:9:10: with neither a front contact nor a beam no leaf moves by itself. Wire frontShut or laneClear; until then animals are sent by hand alone.',
    ]);
  });

  it('is wiring that this gate has no use for', () => {
    put(
      'site.yaml',
      siteText(/board: simulated.*\n {2}gate: three-way/, 'board: pi-gpio\n  gate: two-way'),
    );
    put(
      'plans/by-weight.yaml',
      readFileSync(join(dir, 'plans/by-weight.yaml'), 'utf8').replaceAll('ahead', 'left'),
    );
    expect(warnings()).toEqual([
      'site.yaml:10:9: the gate has no leaf for leafB.extend, leafB.retract, which stay off. Choose the gate profile that has it.',
    ]);
  });
});

describe('a simulated site', () => {
  it('has the end switches of its gate and the contacts that the simulated crate has', () => {
    put(
      'site.yaml',
      siteText('gate: three-way', 'gate: three-way-switched').replace('hand-gates', 'clamp'),
    );
    const ends = ['leafA.extended', 'leafA.retracted', 'leafB.extended', 'leafB.retracted'];
    expect(loaded().config.inputs).toEqual([
      ...['frontShut', 'laneClear', 'stopLoop', 'actuatorPower'],
      ...ends,
    ]);
    expect(loaded().config.gate.leaves[0]).toMatchObject({ endSwitches: true, maxOnMs: 1100 });
  });
});

describe('a site with relays that drive something', () => {
  it('takes the keep-alive as proved only with its day, and the contacts that crate and gate have', () => {
    put('site.yaml', siteText(/board: simulated.*\n/, 'board: pi-gpio\n'));
    expect(loaded().config.keepAliveProved).toBe(false);
    expect(loaded().config.inputs).toEqual(['frontShut', 'laneClear', 'stopLoop', 'actuatorPower']);
    put('site.yaml', siteText('Proved: false', 'Proved: 2026-09-14'));
    expect(loaded().config.keepAliveProved).toBe(true);
  });

  it('is run on simulated relays alone where the caller says so', () => {
    put('site.yaml', siteText(/board: simulated.*\n/, 'board: pi-gpio\n'));
    expect(loaded({ board: 'simulated' }).boardProfile.type).toBe('simulated');
  });

  it('reads the battery where the board names its volts', () => {
    const board = readFileSync(join(shippedProfiles(), 'boards/simulated.yaml'), 'utf8');
    put('profiles/simulated.yaml', board.replace('volts: false', 'volts: true'));
    expect(loaded().config.battery).toEqual({
      lowVolts: 11.8,
      loadVolts: 10.8,
      warnVolts: 12,
      staleMs: 10_000,
    });
  });
});

describe('a plan given instead of the active one', () => {
  it('is used', () => {
    put(
      '../other.yaml',
      readFileSync(join(siteText() && dir, 'plans/by-weight.yaml'), 'utf8').replace(
        'belowKg: 40',
        'belowKg: 39',
      ),
    );
    expect(loaded({ plan: join(dir, '../other.yaml') }).config.plan.lots[0]?.belowKg).toBe(39);
  });

  it('that is not there is an error', () => {
    expect(errors({ plan: '/nowhere/plan.yaml' })).toEqual([
      '/nowhere/plan.yaml:1:1: the file is not there. Put it back or name another.',
    ]);
  });
});

describe('writing a setting back', () => {
  it('keeps the comments and everything else', () => {
    const text = siteText();
    const changed = changeYaml(text, 'site.yaml', siteSchema, [
      { path: ['keepAliveProved'], value: '2026-09-14' },
      { path: ['scale', 'port'], value: '/dev/serial/by-id/usb-x' },
    ]);
    if (!changed.ok) throw new Error(words(changed.errors).join());
    const lines = text.split('\n').filter((line) => !changed.value.split('\n').includes(line));
    expect(lines).toEqual([
      'keepAliveProved: false # the day on which the drop-out was proved at fitting, such as 2026-09-14',
    ]);
    put('site.yaml', changed.value);
    expect(loaded().ports.scale).toBe('/dev/serial/by-id/usb-x');
    expect(loaded().site.keepAliveProved).toBe('2026-09-14');
  });

  it('refuses a value that would break the file', () => {
    const changed = changeYaml(siteText(), 'site.yaml', siteSchema, [
      { path: ['zone'], value: 'x' },
    ]);
    expect(changed.ok ? [] : words(changed.errors)).toEqual([
      'site.yaml:3:7: "x" is not a time zone. Write such as Europe/London.',
    ]);
  });

  it('replaces a file whole', () => {
    loadSite(dir);
    replaceFile(join(dir, 'plans/a.yaml'), 'a: 1\n');
    replaceFile(join(dir, 'plans/a.yaml'), 'a: 2\n');
    expect(readFileSync(join(dir, 'plans/a.yaml'), 'utf8')).toBe('a: 2\n');
    expect(existsSync(join(dir, 'plans/a.yaml.new'))).toBe(false);
  });
});

describe('a hash', () => {
  it('does not depend on the order of keys', () => {
    fc.assert(
      fc.property(fc.dictionary(fc.string(), fc.jsonValue()), (value) => {
        const turned = Object.fromEntries(Object.entries(value).reverse());
        expect(hashOf(turned)).toBe(hashOf(value));
        expect(JSON.parse(canonicalJson(value))).toEqual(JSON.parse(JSON.stringify(value)));
      }),
    );
  });

  it('of a known value is what sha256sum gives', () => {
    // printf '{"a":1,"b":[true,null]}' | sha256sum
    expect(hashOf({ b: [true, null], a: 1 })).toBe(
      '1cc69c7fa23616ca2ec3ee70d24390a6225c8832db8a4c814c7e0e7f942f8668',
    );
  });
});

it('editors get a schema of the site file', () => {
  expect(JSON.stringify(siteJsonSchema())).toContain('keepAliveProved');
});
