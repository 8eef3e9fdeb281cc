/** Lists from a spreadsheet and the treatment record, as the page knows them. */
import { signal } from '@preact/signals';
import type { Use } from '../../core/sortplan/withdrawal.ts';
import { get } from '../api.ts';

export interface Preview {
  rows: number;
  columns: string[];
  unused: string[];
  first: string[][];
  repeated: number;
}

export interface RowError {
  line: number;
  column: number;
  message: string;
  remedy: string;
}

export interface ShownTreatment {
  product: string;
  given: string;
  days: number | null;
  batch: string;
  use: Use;
  tags: number;
  firstTags: string[];
  mob: string | null;
  colour: string | null;
  period: number | null;
  freeOn: string | null;
  open: boolean;
}

export interface TreatmentRecord {
  record: string;
  /** Whose it is: the session's farm; null where it names none. */
  farm: string | null;
  today: string;
  treatments: ShownTreatment[];
  offLabel: { factor: number; leastDays: number; notForFoodDays: number; source: string };
}

export const lists = signal<{ file: string; usedBy: string[] }[]>([]);
export const record = signal<TreatmentRecord | null>(null);

export async function openLists(): Promise<void> {
  const found = await get<{ lists: { file: string; usedBy: string[] }[] }>('/api/lists');
  if (found !== null) lists.value = found.lists;
}

export async function openRecord(): Promise<void> {
  record.value = await get<TreatmentRecord>('/api/treatments');
}
