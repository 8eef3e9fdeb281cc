import type { DecodedReading } from '../../config/frames/decode.ts';

/** Weight Scale Service and its Weight Measurement (Bluetooth SIG, Weight Scale Service 1.0). */
export const WEIGHT_SCALE = { service: '181d', measurement: '2a9d' } as const;

const IMPERIAL = 1;
const TIME_STAMP = 2;
const USER = 4;
const BMI_HEIGHT = 8;
const KNOWN_FLAGS = 0x0f;
const UNSUCCESSFUL = 0xffff;
/** Weight in steps of 0.005 kg, or of 0.01 lb. */
const STEPS_A_KG = 200;
const LB_STEP_KG = 0.01 * 0.45359237;

/**
 * One Weight Measurement (0x2A9D): flags, weight in 16 bits low byte first, and then as the flags say
 * 7 bytes of time stamp, 1 of user, 4 of body mass index and height. The time stamp is the head's own
 * clock and is not used.
 *
 * @returns the weight in kg; kg null with `error` for a measurement that failed (0xFFFF); null where
 * the length does not fit the flags or a reserved flag is set
 */
export function decodeMeasurement(bytes: Uint8Array): DecodedReading | null {
  const flags = bytes[0] ?? 0xff;
  if ((flags & ~KNOWN_FLAGS) !== 0) return null;
  const stamp = (flags & TIME_STAMP) !== 0 ? 7 : 0;
  const user = (flags & USER) !== 0 ? 1 : 0;
  const body = (flags & BMI_HEIGHT) !== 0 ? 4 : 0;
  if (bytes.length !== 3 + stamp + user + body) return null;
  const weight = (bytes[1] ?? 0) + 256 * (bytes[2] ?? 0);
  if (weight === UNSUCCESSFUL) return body === 0 ? { kg: null, status: 'error' } : null;
  return { kg: (flags & IMPERIAL) === 0 ? weight / STEPS_A_KG : weight * LB_STEP_KG };
}
