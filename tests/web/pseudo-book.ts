import { bookWords as english, type BookWords } from '../../src/web/words/book.ts';
import { pseudo } from './pseudo.ts';

export const bookWords = pseudo(english) as BookWords;
