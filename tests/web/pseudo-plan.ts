import { planWords as english, type PlanWords } from '../../src/web/words/plan.ts';
import { pseudo } from './pseudo.ts';

export const planWords = pseudo(english) as PlanWords;
