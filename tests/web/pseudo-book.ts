import { cardWords as ofCard, type CardWords } from '../../src/web/words/card.ts';
import { bookWords as english, type BookWords } from '../../src/web/words/book.ts';
import { fittingWords as ofFitting, type FittingWords } from '../../src/web/words/fitting.ts';
import { cableWords as ofCable, type CableWords } from '../../src/web/words/cable.ts';
import { listenWords as ofListen, type ListenWords } from '../../src/web/words/listen.ts';
import { checkWords as ofCheck, type CheckWords } from '../../src/web/words/check.ts';
import { sessionWords as ofSession, type SessionTexts } from '../../src/web/words/session.ts';
import { workshopWords as ofWorkshop, type WorkshopWords } from '../../src/web/words/workshop.ts';
import { pseudo } from './pseudo.ts';

export const bookWords = pseudo(english) as BookWords;
export const fittingWords = pseudo(ofFitting) as FittingWords;
export const cableWords = pseudo(ofCable) as CableWords;
export const listenWords = pseudo(ofListen) as ListenWords;
export const checkWords = pseudo(ofCheck) as CheckWords;
export const sessionWords = pseudo(ofSession) as SessionTexts;
export const workshopWords = pseudo(ofWorkshop) as WorkshopWords;
export const cardWords = pseudo(ofCard) as CardWords;
