/** Readings out of bytes by a profile, whatever carries the bytes. */
import { createDecoder } from '../../config/frames/decode.ts';
import type { ScaleProfile } from '../../config/frames/schema.ts';
import type { LineOptions, OpenLine } from '../line.ts';
import { toInput, type Scale, type ScaleEvents } from './port.ts';

/** Opens a link whose bytes the profile reads; down when no whole frame came for its silence. */
export function openFramedScale(
  profile: ScaleProfile,
  events: ScaleEvents,
  open: (line: Omit<LineOptions, 'name' | 'channel'>) => OpenLine,
): Scale {
  const { now, onLink, onNote } = events;
  const decoder = createDecoder(profile);
  let net: boolean | null = null;
  const line = open({
    begin: profile.begin,
    ask: profile.ask,
    silenceMs: profile.silenceMs,
    now,
    onBytes(t, bytes) {
      events.onBytes(t, bytes);
      const before = decoder.frames;
      for (const decoded of decoder.push(bytes)) {
        if (decoded.net !== undefined) net = decoded.net;
        events.onReading(toInput(t, decoded));
      }
      return decoder.frames - before;
    },
    onOpened: decoder.restart,
    onLink,
    onNote,
  });
  return {
    close: line.close,
    health: () => ({ ...line.health(), frames: decoder.frames, noise: decoder.noise, net }),
  };
}
