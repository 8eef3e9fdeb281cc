import { existsSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { replaceFile } from './files.ts';

const SITE = `# This yard. After a change: \`fank check\`.
site: 1
zone: Europe/London # the day that a record belongs to
plan: by-weight # plans/by-weight.yaml

# Names of shipped profiles or of files in profiles/ beside this one, which go first.
profiles:
  scale: plain-continuous
  board: simulated # no wires; pi-gpio and modbus-relays are the shipped ones that drive relays
  gate: three-way
  crate: hand-gates

# The weigh head. Its port's name in /dev/serial/by-id stays the same when it is plugged in anew:
#   port: /dev/serial/by-id/usb-...
scale:
  divisionKg: 0.1
  rateHz: 10
  maxKg: 200

page:
  host: 0.0.0.0 # every network; 127.0.0.1 for this machine alone
  port: 8080
  openLooking: true # looking needs no PIN; operating and fitting always do

# The yard's own words, shown beside left and right, which are as the animal walks:
#   exitWords: { left: road side }

# Wired buttons for marks: inputs such as markButton.a of the board, and the mark that each gives:
#   markButtons: { a: { mark: lame }, b: { mark: condition, value: 3.5 } }

# Withdrawal of medicines used off the label. The defaults follow Great Britain's rules; label, vet and
# local law decide:
#   offLabel: { factor: 1.5, leastDays: 1, notForFoodDays: 28, source: "…" }

keepAliveProved: false # the day on which the drop-out was proved at fitting, such as 2026-09-14
`;

const PLAN = `# Animals go to the first lot that their weight is below; a weight exactly on a cut goes up.
plan: 1
name: By weight
animals: { fromKg: 12, toKg: 65 } # outside: not of this mob, never in averages
lots:
  - { name: Stores, exit: left, belowKg: 40 }
  - { name: Fit, exit: ahead, belowKg: 45, forSlaughter: true }
  - { name: Heavy, exit: right, forSlaughter: true }
decide:
  hysteresisKg: 0.3 # a decision changes only when the weight is past the cut by more than this
  settle: { withinKg: 0.5, forMs: 1000 }
  confidence: 0.995
  callAfterMs: 5000
unsure: hold
`;

/** Name of the plan that a new site starts with. */
const STARTING_PLAN = { name: 'by-weight', text: PLAN };

/**
 * Makes what is missing of a site folder: `site.yaml`, `plans/`, `profiles/`, `traces/`. A file
 * that is there is never touched; a plan is put only beside a new `site.yaml`. Throws the system's
 * error where the folder cannot be made.
 */
export function makeSite(dir: string): void {
  for (const folder of ['plans', 'profiles', 'traces'])
    mkdirSync(join(dir, folder), { recursive: true });
  const site = join(dir, 'site.yaml');
  if (existsSync(site)) return;
  const plan = join(dir, 'plans', `${STARTING_PLAN.name}.yaml`);
  if (!existsSync(plan)) replaceFile(plan, STARTING_PLAN.text);
  replaceFile(site, SITE);
}
