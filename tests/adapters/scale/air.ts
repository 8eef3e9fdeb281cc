/** A Bluetooth adapter without hardware: one weigh head in the air, whose answers the test gives. */
import { EventEmitter } from 'node:events';
import type { Bindings, Radio } from '../../../src/adapters/scale/radio.ts';

export const HEAD = { id: '001122aabbcc', address: '00:11:22:AA:BB:CC', name: 'Pen scale' };

export class Air extends EventEmitter implements Bindings {
  services = ['181d'];
  characteristics = ['2a9d'];
  advertises = true;
  /** Events that the head does not answer with. */
  deaf = new Set<string>();
  connected = false;
  scanning = false;
  resets = 0;
  written: string[] = [];

  readonly radio: Radio = {
    bindings: this,
    reset: () => {
      this.resets += 1;
      this.connected = false;
      return Promise.resolve();
    },
  };

  #say(event: string, ...given: unknown[]): void {
    if (!this.deaf.has(event)) setImmediate(() => this.emit(event, HEAD.id, ...given));
  }
  startScanning(): void {
    this.scanning = true;
    const said = { localName: HEAD.name, serviceUuids: ['181d'] };
    if (this.advertises) this.#say('discover', HEAD.address, 'public', true, said);
  }
  stopScanning(): void {
    this.scanning = false;
  }
  connect(): void {
    this.connected = !this.deaf.has('connect');
    this.#say('connect', null);
  }
  cancelConnect(): void {
    this.connected = false;
  }
  disconnect(): void {
    this.connected = false;
    this.#say('disconnect', 0x13);
  }
  discoverServices(_id: string, wanted: string[]): void {
    this.#say(
      'servicesDiscover',
      wanted.filter((uuid) => this.services.includes(uuid)),
    );
  }
  discoverCharacteristics(_id: string, service: string, wanted: string[]): void {
    const has = wanted.filter((uuid) => this.characteristics.includes(uuid));
    this.#say(
      'characteristicsDiscover',
      service,
      has.map((uuid) => ({ uuid })),
    );
  }
  notify(_id: string, service: string, characteristic: string, on: boolean): void {
    this.#say('notify', service, characteristic, on);
  }
  write(_id: string, _service: string, _to: string, bytes: Buffer): void {
    this.written.push(bytes.toString('latin1'));
  }
  /** The head sends. */
  sends(service: string, characteristic: string, bytes: Buffer): void {
    this.emit('read', HEAD.id, service, characteristic, bytes, true);
  }
  /** The connection ends by itself. */
  drops(): void {
    this.connected = false;
    this.emit('disconnect', HEAD.id, 0x08);
  }
}
