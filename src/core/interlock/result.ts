/** What the other modules see of the gate. */
import type { Exit } from '../trace.ts';
import { laneClear } from './lane.ts';
import { dutyWaits, placed, waits } from './permits.ts';
import type { GateRequest, GateResult, InterlockConfig, InterlockState, Sight } from './state.ts';
import { anyStroke } from './work.ts';

/** The exit at which every leaf stands with nothing moving, or null. */
export function standsAt(config: InterlockConfig, s: InterlockState): Exit | null {
  if (anyStroke(s)) return null;
  const found = Object.entries(config.gate.exits).find(([, ends]) =>
    Object.entries(ends).every(([leaf, end]) => s.leaves[leaf]?.position === end),
  );
  return found === undefined ? null : found[0];
}

export function resultOf(
  config: InterlockConfig,
  s: InterlockState,
  t: number,
  request: GateRequest,
  sight: Sight,
  homed: boolean,
): GateResult {
  const moving = anyStroke(s);
  const shown: GateResult['leaves'] = {};
  for (const [name, leaf] of Object.entries(s.leaves)) {
    const { position, assumed, stroke } = leaf;
    shown[name] = { position, assumed, moving: stroke?.direction ?? null };
  }
  const kind = request.mode === 'homing' ? 'homing' : request.byHand ? 'by-hand' : 'automatic';
  const against = waits(config, s, t, request, sight, kind);
  if (dutyWaits(config, s, t, request) !== null) against.push('duty');
  const warning = s.warningAt !== null && !moving;
  return {
    at: standsAt(config, s),
    moving,
    warning,
    warningAt: warning ? s.warningAt : null,
    warnsFirst: !s.warned,
    needsHoming: s.homeFirst || !config.gate.leaves.every((leaf) => placed(config, s, leaf)),
    homed,
    laneClear: laneClear(s.lane, t, sight.contacts, config.gate.laneHoldMs),
    laneNeedsConfirm: s.lane.needsConfirm,
    tripped: s.tripped,
    waits: against,
    leaves: shown,
  };
}
