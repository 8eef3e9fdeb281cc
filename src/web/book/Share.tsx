import { useState } from 'preact/hooks';
import type { Evening } from '../../adapters/evening.ts';
import type { SharedSheet } from '../../adapters/page/contracts.ts';
import { post } from '../api.ts';
import { Qr } from '../Qr.tsx';
import { me, sheet } from '../store.ts';
import { bookWords as words } from '../words/book.ts';
import { words as common } from '../words/en.ts';

/** This farm's sheet of this day for somebody else's phone, by a code; nothing else opens with it. */
export function Share({ evening }: { evening: Evening }) {
  const [code, setCode] = useState<SharedSheet | null>(null);
  const [says, setSays] = useState<string | null>(null);
  const make = async (): Promise<void> => {
    if (me.value.role === null) {
      sheet.value = 'sign-in';
      return;
    }
    const { day, farm } = evening;
    const answer = await post<SharedSheet>('/api/book/share', { day, farm: farm ?? '' });
    setCode(answer.ok ? answer.value : null);
    setSays(answer.ok ? null : (answer.refusal?.reason ?? common.refusal['no-answer']));
  };
  const farm = evening.farm ?? words.noFarm;
  return (
    <>
      <button type="button" class="act" data-testid="make-share" onClick={() => void make()}>
        <b>{words.keep.share}</b>
        <span>{words.keep.shareMeans}</span>
      </button>
      <p role="status">{says}</p>
      {code === null || code.day !== evening.day ? null : (
        <figure class="share" data-testid="share">
          <Qr code={code} label={words.keep.shareCode(farm)} />
          <figcaption>{words.keep.shareFor(farm, code.hours)}</figcaption>
        </figure>
      )}
    </>
  );
}
