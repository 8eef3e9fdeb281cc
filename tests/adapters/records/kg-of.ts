/** The weight of the trial's animal of that number, kg. */
export function kgOf(animal: number): number {
  return 30 + ((animal * 37) % 200) / 10;
}
