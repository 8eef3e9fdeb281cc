import type { Qr as Code } from '../adapters/page/contracts.ts';

/** A QR code: dark on light in every look, or no camera would find it. */
export function Qr({ code, label }: { code: Code; label: string }) {
  return (
    <svg
      class="qr"
      viewBox={`0 0 ${String(code.size)} ${String(code.size)}`}
      role="img"
      aria-label={label}
    >
      <rect width={code.size} height={code.size} fill="#fff" />
      <path d={code.path} fill="#000" shapeRendering="crispEdges" />
    </svg>
  );
}
