/** What the other modules see of the gate. */
import { laneClear } from './lane.ts';
import { overdue, waits, type Sight } from './permits.ts';
import type { GateRequest, GateResult, InterlockConfig, InterlockState } from './state.ts';
import { anyStroke } from './work.ts';

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
  const stands = Object.entries(config.gate.exits).find(([, ends]) =>
    Object.entries(ends).every(([leaf, end]) => s.leaves[leaf]?.position === end),
  );
  const kind = request.mode === 'homing' ? 'homing' : request.byHand ? 'by-hand' : 'automatic';
  return {
    at: moving || stands === undefined ? null : stands[0],
    moving,
    warning: s.warningAt !== null && !moving,
    needsHoming: config.gate.leaves.some((leaf) => {
      const state = s.leaves[leaf.name];
      if (state === undefined) return true;
      return state.position === 'unknown' || overdue(config, state.strokes, leaf.endSwitches);
    }),
    homed,
    laneClear: laneClear(s.lane, t, sight.contacts, config.gate.laneHoldMs),
    laneNeedsConfirm: s.lane.needsConfirm,
    tripped: s.tripped,
    waits: waits(config, s, t, request, sight, kind),
    leaves: shown,
  };
}
