import type { GateConfig } from '../core/interlock/gate.ts';
import { markProblem } from '../core/sortplan/marks.ts';
import type { Plan } from '../core/sortplan/plan.ts';
import type { Config } from '../core/step.ts';
import type { Mark } from '../core/trace.ts';
import { boardInputs, type BoardProfile } from './boards.ts';
import { isMotionOutput } from './board-checks.ts';
import { checkCrate, CRATE_CONTACTS, resolveCrate, type CrateProfile } from './crates.ts';
import { resolveGate, type GateProfile } from './gates.ts';
import { endSwitches, knownInputs, motionOutputs, SIGNAL_OUTPUTS } from './inputs.ts';
import type { Finding } from './issues.ts';
import { suggestion } from './nearest.ts';
import type { Site } from './site.ts';

/** All that a site names, each sound by itself. */
export interface Parts {
  site: Site;
  board: BoardProfile;
  gate: GateProfile;
  crate: CrateProfile;
  plan: Plan;
}

/** Longest time without a reading: three periods where readings come seldom, ms. */
export function staleMs(rateHz: number): number {
  return Math.max(1500, Math.ceil(3000 / rateHz));
}

/** What the core is given. */
export function resolveConfig({ site, board, gate, crate, plan }: Parts): Config {
  const { divisionKg, rateHz, maxKg } = site.scale;
  const resolvedGate = resolveGate(gate);
  const simulated = board.type === 'simulated';
  const hasVolts = simulated ? board.volts : board.volts !== undefined;
  return {
    scale: { divisionKg, rateHz, maxKg, staleMs: staleMs(rateHz) },
    crate: crateConfig(site, crate),
    gate: resolvedGate,
    plan,
    inputs: fittedInputs(site, board, resolvedGate, crate),
    battery: hasVolts ? site.battery : null,
    // A simulated board drives nothing, so there is nothing to drop out.
    keepAliveProved: simulated || site.keepAliveProved !== false,
    ...(Object.keys(site.markButtons).length > 0 ? { markButtons: marksOf(site) } : {}),
    ...(site.profiles.reader === undefined ? { noReader: true as const } : {}),
  };
}

/** A mark that is given or not needs no value. */
function marksOf({ markButtons }: Site): Record<string, Mark> {
  const marks = Object.entries(markButtons).map(([button, { mark, value }]) => [
    button,
    { name: mark, value: value ?? true },
  ]);
  return Object.fromEntries(marks) as Record<string, Mark>;
}

function crateConfig(site: Site, crate: CrateProfile): Config['crate'] {
  const resolved = resolveCrate(crate);
  return {
    ...resolved,
    loadingKg: site.crate.loadingKg ?? resolved.loadingKg,
    emptyKg: site.crate.emptyKg ?? resolved.emptyKg,
  };
}

/** Inputs that the board has and that this crate and gate have too. */
function fittedInputs(
  site: Site,
  board: BoardProfile,
  gate: GateConfig,
  crate: CrateProfile,
): string[] {
  const contacts: readonly string[] = crate.contacts;
  const known = [
    ...knownInputs(gate, Object.keys(site.markButtons)).filter(
      (name) => !/\.(extended|retracted)$/.test(name),
    ),
    ...endSwitches(gate),
  ].filter((name) => !isCrateContact(name) || contacts.includes(name));
  return availableInputs(board, gate).filter((name) => known.includes(name));
}

function isCrateContact(name: string): boolean {
  return (CRATE_CONTACTS as readonly string[]).includes(name);
}

/** The simulated gate shows whatever end switches its profile has. */
function availableInputs(board: BoardProfile, gate: GateConfig): string[] {
  const simulated = board.type === 'simulated' ? endSwitches(gate) : [];
  return [...new Set([...boardInputs(board), ...simulated])];
}

/** What does not fit together; each finding is one of the site file. */
export function checkParts(parts: Parts): Finding[] {
  return [
    ...checkInputs(parts),
    ...checkOutputs(parts),
    ...checkWords(parts),
    ...checkMarkButtons(parts.site),
    ...overrides(parts),
  ];
}

/** What will hold the race up, or is left out, although all is well formed. */
export function partsWarnings({ site, board, gate, crate, plan }: Parts): Finding[] {
  const resolved = resolveGate(gate);
  const inputs = fittedInputs(site, board, resolved, crate);
  const found: Finding[] = [];
  const say = (key: string, message: string, remedy: string): void => {
    found.push({ path: ['profiles', key], at: 'value', message, remedy });
  };
  if (!inputs.some((name) => name === 'frontShut' || name.startsWith('laneClear')))
    say(
      'board',
      'with neither a front contact nor a beam no leaf moves by itself',
      'Wire frontShut or laneClear; until then animals are sent by hand alone',
    );
  if (plan.tags !== undefined && site.profiles.reader === undefined)
    found.push({
      path: ['plan'],
      at: 'value',
      message: 'the plan sorts by tags, and the site has no reader: its tag rules are off',
      remedy: 'Name the reader under profiles, or take tags out of the plan',
    });
  if (board.type === 'simulated') return found;
  if (!inputs.includes('stopLoop'))
    say(
      'board',
      'the stop loop is not wired to an input',
      'Wire stopLoop, so that a stop is seen and kept',
    );
  const left = boardInputs(board).filter((name) => !inputs.includes(name));
  if (left.length > 0)
    say(
      'board',
      `wired, but not part of this crate and gate: ${left.join(', ')}`,
      'Choose the profiles that have them, or take them out of the board profile',
    );
  const ours = motionOutputs(resolved);
  const idle = Object.keys(board.outputs).filter(
    (name) => isMotionOutput(name) && !ours.includes(name),
  );
  if (idle.length > 0)
    say(
      'gate',
      `the gate has no leaf for ${idle.join(', ')}, which stay off`,
      'Choose the gate profile that has it',
    );
  if (board.modbus !== undefined && site.board.port === undefined)
    say('board', 'the Modbus board has no port', 'Add board: { port: /dev/serial/by-id/... }');
  return found;
}

function boardFault(message: string, remedy: string): Finding {
  return { path: ['profiles', 'board'], at: 'value', message, remedy };
}

function checkInputs({ site, board, gate, crate }: Parts): Finding[] {
  const resolved = resolveGate(gate);
  const has = availableInputs(board, resolved);
  const known = knownInputs(resolved, Object.keys(site.markButtons));
  const found = has
    .filter((name) => !known.includes(name) && !/\.(extended|retracted)$/.test(name))
    .map((name) =>
      boardFault(
        `board ${site.profiles.board} has an input "${name}" that nothing here is called`,
        suggestion(name, known),
      ),
    );
  const needed = board.type === 'simulated' ? [] : crate.contacts;
  for (const name of [...needed, ...endSwitches(resolved)].filter((one) => !has.includes(one)))
    found.push(
      boardFault(
        `board ${site.profiles.board} has no input "${name}", which ${name.includes('.') ? `gate ${site.profiles.gate}` : `crate ${site.profiles.crate}`} needs`,
        'Wire it and add it to the board profile, or choose a profile without it',
      ),
    );
  return found;
}

function checkOutputs({ site, board, gate }: Parts): Finding[] {
  if (board.type === 'simulated') return [];
  const needed = [...motionOutputs(resolveGate(gate)), 'keepAlive'];
  const known = [...needed, ...SIGNAL_OUTPUTS];
  const names = Object.keys(board.outputs);
  const missing = needed
    .filter((name) => !names.includes(name))
    .map((name) =>
      boardFault(
        `board ${site.profiles.board} has no output "${name}"`,
        name === 'keepAlive'
          ? 'Add the line that feeds the drop-out relay'
          : `Add the line of that relay, or choose a gate without that leaf`,
      ),
    );
  const strange = names
    .filter((name) => !known.includes(name) && !isMotionOutput(name))
    .map((name) =>
      boardFault(
        `board ${site.profiles.board} has an output "${name}" that nothing here is called`,
        suggestion(name, known),
      ),
    );
  return [...missing, ...strange];
}

function checkWords({ site, gate }: Parts): Finding[] {
  const exits = Object.keys(gate.exits);
  return Object.keys(site.exitWords)
    .filter((exit) => !exits.includes(exit))
    .map((exit) => ({
      path: ['exitWords', exit],
      at: 'key' as const,
      message: `"${exit}" is not an exit of gate ${site.profiles.gate}`,
      remedy: suggestion(exit, exits),
    }));
}

function checkMarkButtons({ markButtons }: Site): Finding[] {
  return Object.entries(markButtons).flatMap(([button, { mark, value }]): Finding[] => {
    const problem = markProblem({ name: mark, value: value ?? true });
    if (problem === null) return [];
    const remedy = 'Write such as { mark: lame } or { mark: condition, value: 3.5 }';
    return [{ path: ['markButtons', button], at: 'value', message: problem, remedy }];
  });
}

function overrides({ site, crate }: Parts): Finding[] {
  const key = site.crate.emptyKg === undefined ? 'loadingKg' : 'emptyKg';
  if (site.crate[key] === undefined) return [];
  return checkCrate(crateConfig(site, crate)).map((finding) => ({
    ...finding,
    path: ['crate', key],
  }));
}
