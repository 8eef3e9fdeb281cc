/** How a person does each kind of item on the page, truthfully. */
import type { ItemView } from '../../src/fitting/view.ts';
import { exitName } from '../../src/web/say.ts';
import type { Installer } from './installer.ts';

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

type Of<K> = Extract<ItemView['ask'], { kind: K }>;

/** Does one open item of the step that is shown; what is found stands on its card. */
export async function doItem(person: Installer, item: ItemView): Promise<void> {
  const { id, ask } = item;
  const card = person.card(id);
  switch (ask.kind) {
    case 'yes':
      return person.tap(id, 'Yes, seen');
    case 'words':
      await card.locator('input').fill('A. Washer');
      return person.tap(id, 'Keep');
    case 'figure':
      return figures(person, item, sound(ask));
    case 'mass':
      return figures(person, item, [25, 25, ...Array.from({ length: ask.corners }, () => 25)]);
    case 'input':
      return input(person, item, ask);
    case 'quiet':
      return person.tap(id, 'No live fence near');
    case 'direction':
      return direction(person, item, ask);
    case 'travel':
      return travel(person, item, ask);
    case 'exit':
      for (const [leaf, end] of Object.entries(ask.ends)) await person.send(card, leaf, end);
      return person.tap(id, exitName(person.openExit()));
    case 'stopped':
      return stopped(person, item);
    case 'drop-out':
      return dropOut(person, item);
    case 'readings':
      await pause(5200);
      return person.tap(id, 'Take');
    case 'zero':
      return person.tap(id, 'Take');
    case 'reboots':
      return reboots(person, item, ask);
  }
}

/** Figures that are just within the limit. */
function sound({ count, limit }: Of<'figure'>): number[] {
  return Array.from({ length: count }, () => limit.least ?? limit.most ?? 1);
}

async function figures(person: Installer, { id }: ItemView, values: number[]): Promise<void> {
  const fields = person.card(id).locator('input');
  for (const [at, value] of values.entries()) await fields.nth(at).fill(String(value));
  await person.tap(id, 'Keep');
}

async function input(person: Installer, { id }: ItemView, ask: Of<'input'>): Promise<void> {
  const rail = ask.input === 'actuatorPower';
  if (rail) await feed(person, id);
  await person.tap(id, 'Begin');
  await pause(300);
  if ((await person.item(id)).standing === 'wrong') return;
  await person.contact(ask.input, ask.rest);
  if (rail) await feed(person, id);
}

/** The rail is live only while the keep-alive is fed, which a press of a leaf's button begins. */
async function feed(person: Installer, id: string): Promise<void> {
  const before = person.bench.relays.length;
  const output = person.bench.place('leafA') > 0.5 ? 'leafA.retract' : 'leafA.extend';
  await person.hold(person.card(id), output, () => person.bench.relays.length > before);
}

async function direction(person: Installer, { id }: ItemView, ask: Of<'direction'>): Promise<void> {
  const { bench } = person;
  const from = bench.place(ask.leaf);
  await person.send(person.card(id), ask.leaf, ask.end);
  const to = bench.place(ask.leaf);
  const words = { out: 'Out, across the lane', in: 'In, out of the way', no: 'It did not move' };
  await person.tap(id, to > from ? words.out : to < from ? words.in : words.no);
}

async function travel(person: Installer, { id }: ItemView, ask: Of<'travel'>): Promise<void> {
  const card = person.card(id);
  const taken = async (): Promise<number> => {
    const value = (await person.item(id)).result?.value;
    return Array.isArray(value) ? value.length : 0;
  };
  // On a busy machine a press may run out on the way: such a stroke is not taken, and made again.
  while ((await taken()) < ask.count) {
    const end = person.bench.place(ask.leaf) > 0.5 ? 'retracted' : 'extended';
    await person.send(card, ask.leaf, end);
    await card.getByText(/Last stroke/).waitFor();
    await person.tap(id, 'Take');
    await pause(200);
  }
}

async function stopped(person: Installer, { id }: ItemView): Promise<void> {
  const { bench } = person;
  const card = person.card(id);
  await person.tap(id, 'Begin');
  await card.getByRole('status').first().waitFor();
  const output = bench.place('leafA') > 0.5 ? 'leafA.retract' : 'leafA.extend';
  const before = bench.relays.length;
  await person.hold(card, output, () => {
    bench.stopPressed = bench.relays.length > before;
    return bench.stopPressed && !bench.on(output);
  });
  bench.stopPressed = false;
}

async function dropOut(person: Installer, { id }: ItemView): Promise<void> {
  const { bench } = person;
  await person.tap(id, 'Begin');
  const before = bench.relays.length;
  const output = bench.place('leafA') > 0.5 ? 'leafA.retract' : 'leafA.extend';
  await person.hold(person.card(id), output, () => bench.relays.length > before);
  await person.tab.locator('.stop').tap();
}

async function reboots(person: Installer, { id }: ItemView, ask: Of<'reboots'>): Promise<void> {
  for (let n = 0; n < ask.count; n++) {
    await person.bench.restart();
    await person.card(id).getByRole('button', { name: 'Yes, seen' }).tap();
    await person
      .card(id)
      .getByText(`${n + 1} / ${ask.count}`)
      .waitFor({ timeout: 20_000 });
  }
}
