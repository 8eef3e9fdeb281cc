/** Does every item of a fitting as a fitter would at a sound gate. */
import type { ItemView } from '../../src/fitting/view.ts';
import type { Fitter } from './fitter.ts';

const way = (end: string): string => (end === 'extended' ? 'extend' : 'retract');

/** Null where it was taken, else why not. */
async function doItem(f: Fitter, item: ItemView): Promise<string | null> {
  const { id, ask } = item;
  switch (ask.kind) {
    case 'yes':
      return f.say({ do: 'answer', item: id, value: true });
    case 'words':
      return f.say({ do: 'answer', item: id, value: 'A. Washer' });
    case 'figure': {
      const { least, most } = ask.limit;
      const value = Array.from({ length: ask.count }, () => least ?? most ?? 0);
      return f.say({ do: 'answer', item: id, value });
    }
    case 'mass': {
      const corners = Array.from({ length: ask.corners }, () => 25);
      return f.say({ do: 'answer', item: id, value: [25, 25, ...corners] });
    }
    case 'input': {
      const refused = await f.say({ do: 'watch', item: id });
      f.set(ask.input, !ask.rest).set(ask.input, ask.rest);
      return refused;
    }
    case 'quiet': {
      const refused = await f.say({ do: 'watch', item: id });
      f.wait(ask.forMs + 1000);
      return refused;
    }
    case 'direction':
      f.stroke(`${ask.leaf}.${way(ask.end)}`, 500);
      return f.say({ do: 'answer', item: id, value: ask.end });
    case 'travel': {
      for (let n = 0; n < ask.count; n++) {
        f.stroke(`${ask.leaf}.${n % 2 === 0 ? 'extend' : 'retract'}`, 700);
        const refused = await f.say({ do: 'take', item: id });
        if (refused !== null) return refused;
      }
      return null;
    }
    case 'exit':
      for (const [leaf, end] of Object.entries(ask.ends)) f.stroke(`${leaf}.${way(end)}`, 700);
      return f.say({ do: 'answer', item: id, value: ask.exit });
    case 'stopped': {
      const refused = await f.say({ do: 'watch', item: id });
      f.outputs['leafA.extend'] = true;
      f.wait(100);
      f.outputs = {};
      f.set('stopLoop', false).set('stopLoop', true).wait(6000);
      return refused;
    }
    case 'drop-out': {
      const refused = await f.say({ do: 'watch', item: id });
      f.outputs['keepAlive'] = true;
      f.wait(200);
      f.outputs['keepAlive'] = false;
      f.wait(160);
      f.set('actuatorPower', false).set('actuatorPower', true);
      return refused;
    }
    case 'readings':
    case 'zero':
      f.kg = 0;
      f.wait(6000);
      return f.say({ do: 'take', item: id });
    case 'reboots':
      for (let n = 0; n < ask.count; n++) {
        const refused = await f.say({ do: 'take', item: id });
        if (refused !== null) return refused;
      }
      return null;
  }
}

/** Does all that is open; fails at the first that is not taken. */
export async function doAll(f: Fitter, which: (item: ItemView) => boolean = () => true) {
  for (const step of f.desk.view().steps) {
    for (const item of step.items.filter((one) => one.standing !== 'done' && which(one))) {
      const refused = await doItem(f, item);
      if (refused !== null) throw new Error(`${item.id}: ${refused}`);
      await f.settled();
    }
  }
}
