import { randomBytes, randomInt, scrypt, timingSafeEqual } from 'node:crypto';
import { mkdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { replaceFile } from '../../config/files.ts';
import type { FreshPins, Role } from './messages.ts';

/** scrypt cost: 16 MiB and some tens of ms on a small board. */
const COST = { N: 16384, r: 8, p: 1 };
const KEY_BYTES = 32;
/** Digits of a PIN that Fank makes: the installer's opens more, so it is longer. */
const DIGITS: Record<Role, number> = { operator: 6, installer: 8 };

const pinHash = z.strictObject({ salt: z.base64(), hash: z.base64() });
const secretsFile = z.strictObject({
  secrets: z.literal(1),
  cookieKey: z.base64(),
  operator: pinHash,
  installer: pinHash,
});
type SecretsFile = z.infer<typeof secretsFile>;
export type PinHash = z.infer<typeof pinHash>;

/** Where a site keeps its PINs (hashed) and the key that signs cookies. */
export function secretsPath(siteDir: string): string {
  return join(siteDir, 'secrets.json');
}

/** Writes so that a power cut leaves either the old file or the new one, readable by its owner only. */
export function writePrivately(path: string, value: unknown): void {
  replaceFile(path, `${JSON.stringify(value, null, 2)}\n`, 0o600);
}

function derive(pin: string, salt: Buffer): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    scrypt(pin, salt, KEY_BYTES, COST, (error, key) => {
      if (error === null) resolve(key);
      else reject(error);
    });
  });
}

async function hashPin(pin: string): Promise<PinHash> {
  const salt = randomBytes(16);
  const hash = await derive(pin, salt);
  return { salt: salt.toString('base64'), hash: hash.toString('base64') };
}

/** True if `pin` is the one that was hashed; takes as long either way. */
async function isPin(pin: string, kept: PinHash): Promise<boolean> {
  const hash = await derive(pin, Buffer.from(kept.salt, 'base64'));
  return timingSafeEqual(hash, Buffer.from(kept.hash, 'base64'));
}

function randomPin(role: Role): string {
  const digits = DIGITS[role];
  return String(randomInt(10 ** digits)).padStart(digits, '0');
}

function read(siteDir: string): SecretsFile | null {
  const path = secretsPath(siteDir);
  let text: string;
  try {
    text = readFileSync(path, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  }
  const parsed = secretsFile.safeParse(parseJson(text));
  if (parsed.success) return parsed.data;
  throw new Error(
    `${path} is not readable as Fank's secrets. ` +
      `Delete it and run "npx fank pin --site ${siteDir}": new PINs are made, everybody signs in again.`,
  );
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

/**
 * Gives one role a PIN, or both roles where the site has none yet, and returns the PINs in clear:
 * they are kept nowhere else. Devices signed in with the old PIN are signed out.
 *
 * @param pin four to twelve digits; left out, a random one of 6 (operator) or 8 (installer) digits.
 * @throws Error when the PIN is not 4 to 12 digits, or the other role's.
 */
export async function setPin(
  siteDir: string,
  role: Role,
  pin?: string,
): Promise<Partial<FreshPins>> {
  if (pin !== undefined && !/^\d{4,12}$/.test(pin)) {
    throw new Error('A PIN is 4 to 12 digits');
  }
  const other: Role = role === 'operator' ? 'installer' : 'operator';
  const kept = read(siteDir);
  const chosen = pin ?? randomPin(role);
  if (kept !== null && (await isPin(chosen, kept[other]))) {
    throw new Error(`That is the ${other}'s PIN: choose another one, or one PIN would open both`);
  }
  const mine = await hashPin(chosen);
  if (kept !== null) {
    writePrivately(secretsPath(siteDir), { ...kept, [role]: mine });
    return { [role]: chosen };
  }
  const otherPin = randomPin(other);
  const fresh = { [role]: mine, [other]: await hashPin(otherPin) };
  mkdirSync(siteDir, { recursive: true });
  writePrivately(secretsPath(siteDir), {
    secrets: 1,
    cookieKey: randomBytes(32).toString('base64'),
    ...fresh,
  });
  return { [role]: chosen, [other]: otherPin };
}

/** The site's secrets, read again when `fank pin` has changed the file. */
export interface Secrets {
  readonly cookieKey: string;
  /** Which role the PIN opens, or null. */
  roleOf(pin: string): Promise<Role | null>;
  /** Differs once the role's PIN has been changed. */
  mark(role: Role): string;
}

/** Opens the site's secrets, made if missing; `freshPins` are the PINs made just now. */
export async function openSecrets(
  siteDir: string,
): Promise<{ secrets: Secrets; freshPins: FreshPins | null }> {
  let freshPins: FreshPins | null = null;
  if (read(siteDir) === null) freshPins = (await setPin(siteDir, 'operator')) as FreshPins;
  let readAt = 0;
  let kept: SecretsFile;
  const current = (): SecretsFile => {
    const changed = statSync(secretsPath(siteDir)).mtimeMs;
    if (changed !== readAt) {
      const now = read(siteDir);
      if (now !== null) kept = now;
      readAt = changed;
    }
    return kept;
  };
  const secrets: Secrets = {
    cookieKey: (kept = read(siteDir) as SecretsFile).cookieKey,
    roleOf: async (pin) => {
      const now = current();
      const [operator, installer] = await Promise.all([
        isPin(pin, now.operator),
        isPin(pin, now.installer),
      ]);
      if (installer) return 'installer';
      return operator ? 'operator' : null;
    },
    mark: (role) => current()[role].salt.slice(0, 8),
  };
  return { secrets, freshPins };
}
