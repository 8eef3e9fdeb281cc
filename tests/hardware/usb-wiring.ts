/** What both ends of the USB part agree on. */

/** Serial numbers: of the weigh head's adapter, by which its lasting name is made, and of another. */
export const [SERIAL, OTHER] = ['HEAD1', 'OTHER'] as const;
/** Weights that must never be read: of frames that are cut, and of the other adapter. */
export const [CUT_KG, OTHER_KG] = [500, 300] as const;
