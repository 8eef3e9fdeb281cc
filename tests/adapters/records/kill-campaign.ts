/**
 * Kills the process that keeps the records at its writes, syncs, cuts, renames and deletions, by
 * strace's fault injection, on one folder after another, and looks through everything after each
 * kill. `npx tsx tests/adapters/records/kill-campaign.ts KILLS SEED [VICTIM.js]`; needs strace.
 * Ends with one JSON line; exit 1 where anything was lost or damaged.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { findings, runAndKill, VICTIM, type Told } from './killing.ts';

const [kills = '50', seed = '1', compiled] = process.argv.slice(2);
const victim = compiled === undefined ? VICTIM : [process.execPath, compiled];
const RUNS_A_FOLDER = 25;

/** Calls that change files, and up to which one of a kind in a thread a kill is tried. */
const CALLS = [
  ['pwrite64', 38],
  ['pwrite64', 38],
  ['pwrite64', 38],
  ['fsync', 12],
  ['fsync', 12],
  ['fdatasync', 3],
  ['ftruncate', 3],
  ['unlink', 2],
] as const;

let state = Number(seed) >>> 0 || 1;
/** A number from 0 up to, not including, `below` (xorshift). */
function random(below: number): number {
  state ^= state << 13;
  state ^= state >>> 17;
  state ^= state << 5;
  state >>>= 0;
  return state % below;
}

const result = {
  kills: 0,
  notReached: 0,
  sent: 0,
  confirmed: 0,
  byCall: {} as Record<string, number>,
  wrong: [] as string[],
};
while (result.kills < Number(kills)) {
  const siteDir = mkdtempSync(join(tmpdir(), 'fank-kill-'));
  const told: Told = { sent: new Set(), saved: new Set() };
  for (let run = 0; run < RUNS_A_FOLDER && result.kills < Number(kills); run += 1) {
    const [syscall, most] = CALLS[random(CALLS.length)] ?? ['pwrite64', 1];
    const n = 1 + random(most);
    const killed = await runAndKill(siteDir, told, { syscall, n }, 8, victim);
    result.kills += killed ? 1 : 0;
    result.notReached += killed ? 0 : 1;
    if (killed) result.byCall[syscall] = (result.byCall[syscall] ?? 0) + 1;
    for (const found of findings(siteDir, told))
      result.wrong.push(`${syscall} ${n}, run ${run}: ${found}`);
  }
  result.sent += told.sent.size;
  result.confirmed += told.saved.size;
  if (result.wrong.length > 0) break;
  rmSync(siteDir, { recursive: true });
}
process.stdout.write(`${JSON.stringify({ seed: Number(seed), ...result })}\n`);
process.exitCode = result.wrong.length > 0 ? 1 : 0;
