/** What one tap of a person means in corrections, which are kept beside the crossing. */
import type { Correction } from './adapters/records/port.ts';
import type { SessionOrder } from './adapters/session.ts';
import type { Plan } from './core/sortplan/plan.ts';

type Said = Pick<Correction, 'kind' | 'value' | 'why'>;

/** Kinds that "take back" ends; what was answered about a tag stays answered. */
const TAKEN_BACK: readonly Correction['kind'][] = ['void', 'lot', 'exit', 'pen', 'tag', 'dose'];

/**
 * The corrections that an order means, or why it cannot be, in words.
 * @param penOf null: of a session that is over, where the day book knows which exit a lot had
 */
export function corrections(
  order: Extract<SessionOrder, { animal: number }>,
  plan: Plan,
  penOf: Record<string, string> | null,
): Said[] | string {
  switch (order.do) {
    case 'pulled-out':
      return [{ kind: 'void', value: true, why: 'pulled out' }];
    case 'went': {
      if (penOf === null) return [{ kind: 'lot', value: order.lot, why: 'went there' }];
      const lot = plan.lots.find(({ name }) => name === order.lot);
      if (lot === undefined) return `The plan has no lot ${order.lot}.`;
      const why = 'went there';
      return [
        { kind: 'lot', value: lot.name, why },
        { kind: 'exit', value: lot.exit, why },
        { kind: 'pen', value: penOf[lot.exit] ?? lot.exit, why },
      ];
    }
    case 'take-back':
      return TAKEN_BACK.map((kind) => ({ kind, value: null, why: 'taken back' }));
    case 'tag':
      return [{ kind: 'tag', value: order.tag, why: null }];
    case 'came-again':
      return [
        { kind: 'again', value: order.same, why: null },
        ...(order.same ? [] : [{ kind: 'tag', value: false, why: 'misread' } as const]),
      ];
    case 'dose':
      return [{ kind: 'dose', value: order.ml, why: null }];
  }
}
