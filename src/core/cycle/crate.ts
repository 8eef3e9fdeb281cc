/** A weigh crate, resolved. */
export interface CrateConfig {
  /** What kind it is: who or what lets the animal in and out. */
  kind: 'hand-gates' | 'linked-gates' | 'clamp' | 'walk-through';
  /** A reading over this begins an animal's coming on, kg. */
  loadingKg: number;
  /** The crate counts as empty below this, kg. */
  emptyKg: number;
  /** Take the let-go signal back this long before the leaves move again, ms. */
  takeBackMs: number;
  /** An animal held longer than this is called out, ms. */
  heldCallMs: number;
  /** Debounce of safety contacts towards permitting, and of all others both ways, ms: 20 to 100. */
  debounceMs: number;
}
