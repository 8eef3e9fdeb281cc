/** Levels of named outputs as the board is given them. The keep-alive is an edge of its own, not a level. */
export function motionOf(levels: Record<string, boolean>): Record<string, boolean> {
  return Object.fromEntries(Object.entries(levels).filter(([name]) => name !== 'keepAlive'));
}

/** The same outputs, all off. */
export function allOff(levels: Record<string, boolean>): Record<string, boolean> {
  return Object.fromEntries(Object.keys(levels).map((name) => [name, false]));
}
