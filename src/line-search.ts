/** What the weigh head's line says, as the page's thread finds it out while the line is lent. */
import type { LineSearch, SearchShown } from './adapters/line-search.ts';
import { shippedScales } from './config/profiles.ts';
import type { HeardLine, Question } from './fitting/view.ts';
import { inferLatest, lastHeard, MOST_BYTES } from './listen/hearing.ts';
import { isEnough, type InferOptions } from './listen/infer.ts';

const NOTHING: SearchShown = {
  on: true,
  opening: null,
  raw: '',
  kg: null,
  motion: null,
  sure: false,
  baud: null,
  framing: null,
  everySpeed: false,
  periodMs: null,
  unit: null,
  steadyKg: null,
  knownKg: null,
  confirmed: false,
  evidence: [],
  doubts: [],
  profile: null,
  trouble: null,
};

export function createSearch(ask: Question | null): LineSearch {
  const infers: InferOptions = { known: shippedScales(), knownKg: null, ask };
  let text: HeardLine['text'] = [];
  let taken = 0;
  let shown = NOTHING;
  return {
    hear(line) {
      taken += line.text.length;
      text = [...text, ...line.text].slice(-MOST_BYTES);
      const { on, opening, trouble, everySpeed } = line;
      shown = { ...shown, on, opening, trouble, everySpeed };
      if (text.length === 0) return;
      const finding = inferLatest({ ...line, text }, infers);
      const { sure, baud, framing, periodMs, unit, kg, evidence, doubts, profile } = finding;
      shown = {
        ...shown,
        ...lastHeard(text, finding),
        ...{ sure, baud, framing, periodMs, unit, evidence, doubts, profile },
        steadyKg: kg,
        confirmed: infers.knownKg !== null && isEnough(finding, infers.knownKg),
      };
    },
    taken: () => taken,
    shown: () => shown,
    known(kg) {
      infers.knownKg = kg;
      shown = { ...shown, knownKg: kg, confirmed: false };
    },
  };
}
