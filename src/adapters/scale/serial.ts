import type { ScaleProfile } from '../../config/frames/schema.ts';
import { openSerialLine } from '../serial-line.ts';
import { openFramedScale } from './framed.ts';
import type { Scale, ScaleEvents } from './port.ts';

export interface SerialScaleOptions extends ScaleEvents {
  /** The port, best by its lasting name under `/dev/serial/by-id`. */
  path: string;
  profile: ScaleProfile;
}

/**
 * The weigh head on a serial port: opened again for ever, asked where the profile says so, down
 * when no whole frame came for the profile's silence. Never throws.
 */
export function openSerialScale(options: SerialScaleOptions): Scale {
  const { path, profile } = options;
  return openFramedScale(profile, options, (line) =>
    openSerialLine({ ...line, path, serial: profile.serial }),
  );
}
