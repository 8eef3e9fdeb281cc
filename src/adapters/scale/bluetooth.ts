/** A weigh head over Bluetooth Low Energy, behind the same port as one on a serial line. */
import type { BluetoothScale } from '../../config/bluetooth.ts';
import type { ScaleProfile } from '../../config/frames/schema.ts';
import { openLine, type Channel, type ChannelEvents } from '../line.ts';
import { openFramedScale } from './framed.ts';
import { toInput, type Scale, type ScaleEvents } from './port.ts';
import { answer } from './answer.ts';
import type { Advertisement, Bindings, Radio } from './radio.ts';
import { decodeMeasurement, WEIGHT_SCALE } from './weight-measurement.ts';

export interface BluetoothScaleOptions extends ScaleEvents {
  bluetooth: BluetoothScale;
  /** Reads the byte stream, where `bluetooth` names one. */
  profile: ScaleProfile;
  /** For tests: instead of the machine's adapter. */
  radio?: (adapter: number) => Promise<Radio>;
}

const SEEN_WITHIN_MS = 10_000;
const STEP_MS = 4000;
const ENDS_WITHIN_MS = 1000;

/**
 * Opened again for ever, like a serial port; a device that is gone may still be called connected, so
 * silence decides. Without a named stream the head is read by the Weight Scale Service. Never throws.
 */
export function openBluetoothScale(options: BluetoothScaleOptions): Scale {
  const { bluetooth, profile } = options;
  const name = bluetooth.name ?? bluetooth.address ?? 'the Bluetooth weigh head';
  const channel = (events: ChannelEvents): Channel => new BluetoothChannel(options, name, events);
  if (bluetooth.stream !== undefined)
    return openFramedScale(profile, options, (line) => openLine({ ...line, name, channel }));
  return openMeasured(options, name, channel);
}

function openMeasured(
  { bluetooth, now, onBytes, onReading, onLink, onNote }: BluetoothScaleOptions,
  name: string,
  channel: (events: ChannelEvents) => Channel,
): Scale {
  let [frames, noise] = [0, 0];
  const line = openLine({
    name,
    channel,
    begin: undefined,
    ask: undefined,
    silenceMs: bluetooth.silenceMs,
    now,
    onBytes(t, bytes) {
      onBytes(t, bytes);
      const decoded = decodeMeasurement(bytes);
      if (decoded === null) {
        noise += 1;
        return 0;
      }
      frames += 1;
      onReading(toInput(t, decoded));
      return 1;
    },
    onOpened: () => undefined,
    onLink,
    onNote,
  });
  return {
    close: line.close,
    health: () => ({ ...line.health(), frames, noise, net: null }),
  };
}

/** Service and characteristics, in lower case without dashes, as they are sent. */
interface Wanted {
  service: string;
  notify: string;
  write: string | null;
}

function wantedOf({ stream }: BluetoothScale): Wanted {
  if (stream === undefined) {
    return { service: WEIGHT_SCALE.service, notify: WEIGHT_SCALE.measurement, write: null };
  }
  const write = stream.write === undefined ? null : plain(stream.write);
  return { service: plain(stream.service), notify: plain(stream.notify), write };
}

/** The Bluetooth base UUID around a short one is left out, as noble does. */
function plain(uuid: string): string {
  const hex = uuid.toLowerCase().replaceAll('-', '');
  return /^0000([0-9a-f]{4})00001000800000805f9b34fb$/.exec(hex)?.[1] ?? hex;
}

/** Loaded here only: where nobody uses Bluetooth it costs nothing and cannot fail. */
async function machineRadio(adapter: number): Promise<Radio> {
  const { openRadio } = await import('./radio.ts');
  return openRadio(adapter);
}

class BluetoothChannel implements Channel {
  readonly #options: BluetoothScaleOptions;
  readonly #wanted: Wanted;
  readonly #name: string;
  readonly #events: ChannelEvents;
  #radio: Radio | null = null;
  #id: string | null = null;
  #stage: 'idle' | 'scanning' | 'connecting' | 'connected' = 'idle';
  #closed = false;

  constructor(options: BluetoothScaleOptions, name: string, events: ChannelEvents) {
    this.#options = options;
    this.#wanted = wantedOf(options.bluetooth);
    this.#name = name;
    this.#events = events;
  }

  async open(): Promise<void> {
    const { radio = machineRadio, bluetooth } = this.#options;
    this.#radio = await radio(bluetooth.adapter);
    if (this.#closed) return;
    const { bindings } = this.#radio;
    const id = await this.#find(bindings);
    await this.#step('connect', id, () => {
      this.#id = id;
      this.#stage = 'connecting';
      bindings.connect(id);
    });
    this.#stage = 'connected';
    bindings.on('disconnect', this.#gone);
    await this.#subscribe(bindings, id);
  }

  readonly write = (text: string): void => {
    const { service, write } = this.#wanted;
    if (this.#stage !== 'connected' || write === null || this.#id === null) return;
    this.#radio?.bindings.write(this.#id, service, write, Buffer.from(text, 'latin1'), true);
  };

  async close(): Promise<void> {
    if (this.#closed) return;
    this.#closed = true;
    if (this.#radio === null) return;
    const { bindings } = this.#radio;
    bindings.removeListener('disconnect', this.#gone);
    bindings.removeListener('read', this.#heard);
    const [stage, id] = [this.#stage, this.#id];
    this.#stage = 'idle';
    if (stage === 'scanning') bindings.stopScanning();
    if (stage === 'connecting') await this.#radio.reset();
    if (stage !== 'connected' || id === null) return;
    const ended = answer(bindings, 'disconnect', (one) => one === id, ENDS_WITHIN_MS);
    bindings.disconnect(id);
    // The controller may go on calling a dead device connected, and would refuse it when it is back.
    await ended.catch(() => this.#radio?.reset());
  }

  async #find(bindings: Bindings): Promise<string> {
    const { bluetooth } = this.#options;
    const fits = (...given: unknown[]): boolean => {
      const [, address, , connectable, said] = given as Seen;
      return connectable && isWanted(bluetooth, this.#wanted, address, said);
    };
    this.#stage = 'scanning';
    const seen = answer(bindings, 'discover', fits, SEEN_WITHIN_MS);
    bindings.startScanning([], true);
    try {
      const [id] = (await seen) as Seen;
      if (this.#closed) throw new Error(`${this.#name}: closed`);
      return id;
    } catch {
      throw new Error(
        `${this.#name} is not seen by Bluetooth. Is it on, near, and not connected to something else?`,
      );
    } finally {
      // The field is changed by close() while this waits.
      if ((this.#stage as string) === 'scanning') bindings.stopScanning();
      this.#stage = 'idle';
    }
  }

  async #subscribe(bindings: Bindings, id: string): Promise<void> {
    const { service, notify, write } = this.#wanted;
    const [, services] = await this.#step('servicesDiscover', id, () =>
      bindings.discoverServices(id, [service]),
    );
    if (!(services as string[]).includes(service)) throw this.#without(`service ${service}`);
    const [, , found] = await this.#step('characteristicsDiscover', id, () =>
      bindings.discoverCharacteristics(id, service, write === null ? [notify] : [notify, write]),
    );
    for (const one of write === null ? [notify] : [notify, write]) {
      const has = (found as { uuid: string }[]).some(({ uuid }) => uuid === one);
      if (!has) throw this.#without(`characteristic ${one}`);
    }
    bindings.on('read', this.#heard);
    await this.#step('notify', id, () => bindings.notify(id, service, notify, true));
  }

  #without(what: string): Error {
    return new Error(`${this.#name} has no ${what}. Check scale.bluetooth in site.yaml.`);
  }

  /** One question to the device and its answer; an answer that does not come ends the attempt. */
  async #step(event: string, id: string, ask: () => void): Promise<unknown[]> {
    const { bindings } = this.#radio ?? {};
    if (bindings === undefined || this.#closed) throw new Error(`${this.#name}: closed`);
    const come = answer(bindings, event, (one) => one === id, STEP_MS);
    ask();
    const given = await come.catch(() => {
      throw new Error(`${this.#name} does not answer over Bluetooth (${event}). Is it near?`);
    });
    const failed = event === 'connect' ? given[1] : null;
    if (failed instanceof Error) throw new Error(`${this.#name}: ${failed.message}. Is it near?`);
    return given;
  }

  readonly #gone = (id: unknown): void => {
    if (id !== this.#id) return;
    this.#stage = 'idle';
    this.#events.gone(`${this.#name} went away. Is it on and near?`);
  };

  readonly #heard = (...given: unknown[]): void => {
    const [id, service, characteristic, data] = given as [string, string, string, Buffer];
    const { service: ours, notify } = this.#wanted;
    if (id === this.#id && service === ours && characteristic === notify) this.#events.bytes(data);
  };
}

type Seen = [string, string, string, boolean, Advertisement];

function isWanted(
  { address, name }: BluetoothScale,
  { service }: Wanted,
  seen: string,
  said: Advertisement,
): boolean {
  if (address !== undefined) return seen.toLowerCase() === address.toLowerCase();
  if (name !== undefined) return said.localName === name;
  return said.serviceUuids?.includes(service) === true;
}
