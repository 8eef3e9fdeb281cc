import type { Layout } from '../../adapters/page/messages.ts';
import { drawLeaves, fences, HIGH, wayTo, WIDE } from '../picture.ts';
import { exitName } from '../say.ts';

/** The emergency stop: a mushroom seen from the side, pushed. */
export function StopPicture({ label }: { label: string }) {
  return (
    <svg class="picture" viewBox="0 0 120 120" role="img" aria-label={label}>
      <rect x="14" y="78" width="92" height="34" fill="#ffd500" stroke="#000" stroke-width="3" />
      <rect x="48" y="60" width="24" height="18" fill="#444" stroke="#000" stroke-width="3" />
      <path d="M22 62q0-24 38-24t38 24z" fill="#c00000" stroke="#000" stroke-width="3" />
      <path d="M60 4v24M48 18l12 13 12-13" fill="none" stroke="#000" stroke-width="6" />
    </svg>
  );
}

/** The pin that one person pulls by hand. */
export function PinPicture({ label }: { label: string }) {
  return (
    <svg class="picture" viewBox="0 0 120 120" role="img" aria-label={label}>
      <rect x="6" y="62" width="70" height="24" fill="#ddd" stroke="#000" stroke-width="3" />
      <circle cx="60" cy="74" r="7" fill="#fff" stroke="#000" stroke-width="3" />
      <path d="M60 58V22" stroke="#000" stroke-width="9" />
      <circle cx="60" cy="14" r="9" fill="none" stroke="#000" stroke-width="5" />
      <path d="M90 56V16M80 27l10-12 10 12" fill="none" stroke="#000" stroke-width="6" />
      <rect x="78" y="92" width="36" height="12" fill="#999" stroke="#000" stroke-width="3" />
      <path d="M60 86v22" stroke="#000" stroke-width="3" stroke-dasharray="5 4" />
    </svg>
  );
}

/** Sound or light as bars on a line of five seconds. */
export function Pattern({ steps }: { steps: string }) {
  const bars = [...steps.matchAll(/1+/g)].map(({ index, 0: run }) => ({ index, long: run.length }));
  return (
    <svg
      class="pattern-line"
      viewBox={`0 0 ${String(steps.length)} 10`}
      preserveAspectRatio="none"
      aria-hidden="true"
    >
      <path d={`M0 9.5h${String(steps.length)}`} />
      {bars.map(({ index, long }) => (
        <rect key={index} x={index} y="1" width={long} height="8.5" />
      ))}
    </svg>
  );
}

/** Width of a letter over an exit, units of the drawing. */
const LETTER = 9;

/** The gate as it lies, every way drawn, each exit named, or counted in flashes where names are too long. */
export function GatePicture({ given, label }: { given: Layout; label: string }) {
  const each = WIDE / given.exits.length;
  const names = given.exits.map(({ exit, said }) => said ?? exitName(exit));
  const fit = names.every((name) => name.length * LETTER < each);
  return (
    <svg
      class="gate-card"
      viewBox={`0 -22 ${String(WIDE)} ${String(HIGH + 22)}`}
      role="img"
      aria-label={label}
    >
      {fences(given).map((fence) => (
        <path d={fence} key={fence} class="fence" />
      ))}
      {given.exits.map(({ exit, flashes }, at) => (
        <g key={exit}>
          <path d={wayTo(given, exit) ?? ''} class="way" />
          <text x={each * (at + 0.5)} y="-8" text-anchor="middle">
            {fit ? names[at] : flashes}
          </text>
        </g>
      ))}
      {drawLeaves(given).map(({ name, hinge }) => (
        <circle key={name} cx={hinge.x} cy={hinge.y} r="5" />
      ))}
    </svg>
  );
}
