export type HearLink = (up: boolean, reason: string) => void;

/** Whether records are being saved: they are while no cause of trouble stands. */
export interface Link {
  /** A cause of trouble with its reason in words, or its end (null). */
  trouble: (cause: string, reason: string | null) => void;
  /** Hears every change, and every new first reason; at once where there is trouble already. */
  onLink: (callback: HearLink) => void;
}

export function openLink(): Link {
  const causes = new Map<string, string>();
  const callbacks: HearLink[] = [];
  let told: string | null = null;
  return {
    trouble: (cause, reason) => {
      if (reason === null) causes.delete(cause);
      else causes.set(cause, reason);
      const first = [...causes.values()][0] ?? null;
      if (first === told) return;
      told = first;
      for (const tell of callbacks) tell(first === null, first ?? 'Records are being saved.');
    },
    onLink: (callback) => {
      callbacks.push(callback);
      if (told !== null) callback(false, told);
    },
  };
}
