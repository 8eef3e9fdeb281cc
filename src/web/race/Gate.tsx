import type { Layout, LeafNow } from '../../adapters/page/messages.ts';
import type { DrawnLeaf } from '../picture.ts';
import { drawLeaves, fences, HIGH, tipNow, wayTo, WIDE } from '../picture.ts';
import { exitName } from '../say.ts';
import { isLive, layout, race } from '../store.ts';
import { words } from '../words/en.ts';

/** About a leaf's length on the drawing: stretched little, it stays sharp while it turns. */
const LENGTH = 100;

/** A leaf as a line, turned and stretched into place, so that a stroke can be seen. */
function Leaf({
  leaf,
  now,
  travelMs,
}: {
  leaf: DrawnLeaf;
  now: LeafNow | undefined;
  travelMs: number;
}) {
  const tip = tipNow(leaf, now);
  const dx = tip.x - leaf.hinge.x;
  const dy = tip.y - leaf.hinge.y;
  const moving = now !== undefined && now.moving !== null;
  const known = moving || now?.at === 'extended' || now?.at === 'retracted';
  const transform = [
    `translate(${String(leaf.hinge.x)}px, ${String(leaf.hinge.y)}px)`,
    `rotate(${Math.atan2(dy, dx).toFixed(4)}rad)`,
    `scale(${(Math.hypot(dx, dy) / LENGTH).toFixed(4)}, 1)`,
  ].join(' ');
  return (
    <g>
      <line
        class={`leaf ${moving ? 'moving' : ''} ${known ? '' : 'unknown'}`}
        data-leaf={leaf.name}
        data-at={moving ? 'moving' : (now?.at ?? 'unknown')}
        x1="0"
        y1="0"
        x2={LENGTH}
        y2="0"
        style={{ transform, transitionDuration: `${String(moving ? travelMs : 120)}ms` }}
      />
      <circle class="post" cx={leaf.hinge.x} cy={leaf.hinge.y} r="5" />
    </g>
  );
}

function inWords(): string {
  const now = isLive.value ? race.value : null;
  if (now === null) return words.gateUnknown;
  if (now.leaves.some((leaf) => leaf.moving !== null)) return words.gateMoves;
  if (now.standsAt === null) return words.gateUnknown;
  const said = words.gateStands(exitName(now.standsAt));
  return now.leaves.some((leaf) => leaf.assumed) ? `${said}, ${words.gateAssumed}` : said;
}

function Ways({ given }: { given: Layout }) {
  const now = isLive.value ? race.value : null;
  const wanted = wayTo(given, now?.decision?.exit ?? null);
  const open = wayTo(given, now?.standsAt ?? null);
  return (
    <>
      {wanted === null ? null : <path class="way wanted" d={wanted} />}
      {open === null ? null : <path class="way open" d={open} marker-end="url(#tip)" />}
    </>
  );
}

/** The gate from above, animals walking up: it moves as the leaves do. */
export function Gate() {
  const given = layout.value;
  if (given === null) return null;
  const leaves = isLive.value ? race.value?.leaves : undefined;
  return (
    <figure class="gate">
      <svg
        viewBox={`0 0 ${String(WIDE)} ${String(HIGH)}`}
        role="img"
        aria-label={`${words.gatePicture} ${inWords()}`}
      >
        <defs>
          <marker
            id="tip"
            viewBox="0 0 10 10"
            refX="5"
            refY="5"
            markerWidth="3"
            markerHeight="3"
            orient="auto"
          >
            <path d="M0 0 10 5 0 10z" />
          </marker>
        </defs>
        <Ways given={given} />
        {fences(given).map((fence) => (
          <path class="fence" d={fence} key={fence} />
        ))}
        {drawLeaves(given).map((leaf, at) => (
          <Leaf
            key={leaf.name}
            leaf={leaf}
            now={leaves?.[at]}
            travelMs={given.leaves[at]?.travelMs ?? 0}
          />
        ))}
      </svg>
      <figcaption data-testid="gate">{inWords()}</figcaption>
    </figure>
  );
}
