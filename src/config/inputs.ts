import type { GateConfig } from '../core/interlock/gate.ts';
import { CRATE_CONTACTS } from './crates.ts';

/**
 * Every input that the core acts on with this gate.
 * @param markButtons names of the site's wired buttons for marks
 */
export function knownInputs(gate: GateConfig, markButtons: readonly string[]): string[] {
  return [
    ...CRATE_CONTACTS,
    'stopLoop',
    'actuatorPower',
    'laneClear',
    ...Object.keys(gate.exits).map((exit) => `laneClear.${exit}`),
    ...gate.leaves.flatMap(({ name }) => [`${name}.extended`, `${name}.retracted`]),
    ...BUTTONS,
    ...Object.keys(gate.exits).map((exit) => `exitButton.${exit}`),
    ...markButtons.map((name) => `markButton.${name}`),
  ];
}

/** Wired buttons, besides one for each exit. */
const BUTTONS = ['startButton', 'pauseButton', 'undoButton', 'zeroButton', 'answerButton'];

/** End switches that the gate's profile promises. */
export function endSwitches(gate: GateConfig): string[] {
  return gate.leaves
    .filter((leaf) => leaf.endSwitches)
    .flatMap(({ name }) => [`${name}.extended`, `${name}.retracted`]);
}

/** Both direction outputs of every leaf. */
export function motionOutputs(gate: GateConfig): string[] {
  return gate.leaves.flatMap(({ name }) => [`${name}.extend`, `${name}.retract`]);
}

/** Outputs besides the actuators' direction relays. */
export const SIGNAL_OUTPUTS = ['keepAlive', 'letGoLamp', 'sounder'];
