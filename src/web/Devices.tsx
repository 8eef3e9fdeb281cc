import { useEffect, useState } from 'preact/hooks';
import type { Devices as Listed } from '../adapters/page/contracts.ts';
import { get, post } from './api.ts';
import { me, notice, refreshMe } from './store.ts';
import { words } from './words/en.ts';

/** Until when this phone is signed in, and who else is: a lost phone's sign-in can be ended here. */
export function Devices() {
  const [list, setList] = useState<Listed>([]);
  const { role, device, until } = me.value;
  const read = async (): Promise<void> => setList((await get<Listed>('/api/devices')) ?? []);
  useEffect(() => void read(), []);
  const end = async (other: number): Promise<void> => {
    const answer = await post('/api/devices/end', { device: other });
    if (!answer.ok) {
      notice.value = {
        text: words.refusal[answer.refusal === null ? 'no-answer' : 'failed'],
        bad: true,
      };
    }
    await Promise.all([read(), refreshMe()]);
  };
  if (role === null || device === null || until === null) return null;
  const others = list.filter((one) => !one.me);
  return (
    <section class="devices" data-testid="devices">
      <p>{words.signedInUntil(words.signedInAs(words.role[role], device), until)}</p>
      {others.map((one) => (
        <button type="button" class="act" key={one.device} onClick={() => void end(one.device)}>
          <b>{words.endSignIn(words.signedInAs(words.role[one.role], one.device))}</b>
          <span>{one.looking ? words.pageOpen : words.pageShut(one.until)}</span>
        </button>
      ))}
    </section>
  );
}
