/** Where the picture of the gate puts lanes and leaves. Pure; units of the drawing. */
import type { LeafNow, Layout } from '../adapters/page/messages.ts';
import type { Exit } from '../core/trace.ts';

export const WIDE = 300;
export const HIGH = 112;
/** Height at which leaves are hinged, and at which the race ends. */
const HINGE_Y = 18;
const MOUTH_Y = 90;
const MOUTH = { left: 105, right: 195 };

export interface Point {
  x: number;
  y: number;
}

/** A leaf hinged at `hinge`, whose tip lies at one of the race's two walls. */
export interface DrawnLeaf {
  name: string;
  hinge: Point;
  tip: { extended: Point; retracted: Point };
}

/**
 * A leaf is hinged on the post between the exits that it opens when extended and those that it
 * opens when retracted, and its tip rests on the wall of the side that it shuts. Where a gate's
 * exits are not parted by one post the best fitting one is drawn.
 */
export function drawLeaves(layout: Layout): DrawnLeaf[] {
  const lanes = layout.exits.length;
  return layout.leaves.map(({ name }) => {
    const extended = layout.exits.map(({ ends }) => ends[name] === 'extended');
    let best = { post: Math.max(1, Math.floor(lanes / 2)), extendedIsLeft: true, fits: -1 };
    for (let post = 1; post < lanes; post++) {
      for (const extendedIsLeft of [true, false]) {
        const fits = extended.filter((is, at) => (is === at < post) === extendedIsLeft).length;
        if (fits > best.fits) best = { post, extendedIsLeft, fits };
      }
    }
    // To open the left the tip lies at the right wall, and the other way round.
    const openLeft = { x: MOUTH.right, y: MOUTH_Y };
    const openRight = { x: MOUTH.left, y: MOUTH_Y };
    return {
      name,
      hinge: { x: (WIDE * best.post) / lanes, y: HINGE_Y },
      tip: best.extendedIsLeft
        ? { extended: openLeft, retracted: openRight }
        : { extended: openRight, retracted: openLeft },
    };
  });
}

/** Where a leaf's tip is drawn now: while it moves, where it is going. */
export function tipNow(leaf: DrawnLeaf, now: LeafNow | undefined): Point {
  const { extended, retracted } = leaf.tip;
  if (now?.moving === 'extend') return extended;
  if (now?.moving === 'retract') return retracted;
  if (now?.at === 'extended') return extended;
  if (now?.at === 'retracted') return retracted;
  return { x: (extended.x + retracted.x) / 2, y: (extended.y + retracted.y) / 2 };
}

/** The way of an animal from the crate into the lane of `exit`, as an SVG path; null if unknown. */
export function wayTo(layout: Layout, exit: Exit | null): string | null {
  const lane = layout.exits.findIndex((one) => one.exit === exit);
  if (lane < 0) return null;
  const x = (WIDE * (lane + 0.5)) / layout.exits.length;
  const middle = WIDE / 2;
  return `M${String(middle)} ${String(HIGH)} C${String(middle)} 68 ${String(x)} 58 ${String(x)} 12`;
}

/** Fences: the race's walls, the outer fences, and a post with its fence between two lanes. */
export function fences(layout: Layout): string[] {
  const { left, right } = MOUTH;
  const walls = [
    `M${String(left)} ${String(HIGH)} V${String(MOUTH_Y)} L4 46 V0`,
    `M${String(right)} ${String(HIGH)} V${String(MOUTH_Y)} L${String(WIDE - 4)} 46 V0`,
  ];
  for (let post = 1; post < layout.exits.length; post++) {
    const x = (WIDE * post) / layout.exits.length;
    walls.push(`M${String(x)} ${String(HINGE_Y)} V0`);
  }
  return walls;
}
