import { pointOf, type Scene } from "@platewright/drawing";
import { type KeyboardEvent, memo, useRef } from "react";
import { PIXELS_PER_MILLIMETRE } from "../../parts/scene-view.tsx";
import { conditionWords, lawWords, type MakersPoint, statusWords, whereWords } from "./words.ts";

type Panel = NonNullable<Scene["panels"]>[number];

const HIT = 2.6;
const RING = 2.3;

/**
 * The maker's points can be pointed at, pressed, and walked with the arrow keys from one tab stop. Their shapes are drawn
 * with the curves; here is only what hears, and the ring around the one that shows its source.
 */
export const MakersPoints = memo(function MakersPoints({
  panel,
  points,
  shown,
  onShow,
  onPoint,
}: {
  panel: Panel;
  points: readonly MakersPoint[];
  shown: string | undefined;
  onShow: (id: string | undefined) => void;
  /** Under the pointer, not pressed. */
  onPoint: (id: string | undefined) => void;
}) {
  const box = useRef<SVGGElement>(null);
  const stop = points.some((one) => one.id === shown) ? shown : points[0]?.id;
  const walk = (event: KeyboardEvent, n: number) => {
    const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    const to =
      event.key === "Home" ? 0 : event.key === "End" ? points.length - 1 : by === undefined ? undefined : n + by;
    if (event.key === "Escape") onShow(undefined);
    else if (event.key === "Enter" || event.key === " ") onShow(points[n]?.id);
    else if (to !== undefined) {
      const next = points[(to + points.length) % points.length];
      onShow(next?.id);
      box.current?.querySelector<SVGGElement>(`[data-row="${next?.id ?? ""}"]`)?.focus();
    } else return;
    event.preventDefault();
    event.stopPropagation();
  };
  if (points.length === 0) return null;
  return (
    <g ref={box} role="listbox" aria-label="The maker's points">
      {points.map((point, n) => {
        const [x, y] = pointOf(panel, point.plateVolts, point.plateAmps);
        return (
          <g
            key={point.id}
            data-row={point.id}
            className="curves-row"
            role="option"
            aria-selected={point.id === shown}
            tabIndex={point.id === stop ? 0 : -1}
            aria-label={`${conditionWords(point)}; ${statusWords(point)}; ${whereWords(point)}; ${lawWords(point)}`}
            onFocus={() => onShow(point.id)}
            onBlur={() => onShow(undefined)}
            onPointerEnter={() => onPoint(point.id)}
            onPointerLeave={() => onPoint(undefined)}
            onKeyDown={(event) => walk(event, n)}
          >
            <rect className="curves-hit" x={x - HIT} y={y - HIT} width={2 * HIT} height={2 * HIT} />
            {point.id === shown && (
              <rect className="curves-ring" x={x - RING} y={y - RING} width={2 * RING} height={2 * RING} />
            )}
          </g>
        );
      })}
    </g>
  );
});

/** Rows of one place are drawn over each other: nearer than this share they are told together. */
const ALIKE = 0.01;
const alike = (a: MakersPoint, b: MakersPoint): boolean =>
  Math.abs(a.plateVolts / b.plateVolts - 1) < ALIKE && Math.abs(a.plateAmps / b.plateAmps - 1) < ALIKE;

/** Beside the point it is of, on the side with more room; with all rows of that place. */
export function SourceCard({
  panel,
  point,
  points,
}: {
  panel: Panel;
  point: MakersPoint;
  points: readonly MakersPoint[];
}) {
  const [x, y] = pointOf(panel, point.plateVolts, point.plateAmps);
  const across = (panel.left + panel.right) / 2;
  const half = (panel.top + panel.bottom) / 2;
  const px = (millimetres: number) => `${(millimetres * PIXELS_PER_MILLIMETRE).toFixed(0)}px`;
  const beside = x > across ? { right: `calc(100% - ${px(x - 3.4)})` } : { left: px(x + 3.4) };
  const below = y > half ? { bottom: `calc(100% - ${px(y + 2.3)})` } : { top: px(y - 2.3) };
  return (
    // The words are the option's own name; here they are to be seen.
    <div className="curves-source" aria-hidden="true" style={{ ...beside, ...below }}>
      <p>
        <b>{conditionWords(point)}</b>
      </p>
      {points
        .filter((one) => alike(one, point))
        .map((one) => (
          <p key={one.id}>
            <b>{statusWords(one)}</b> {whereWords(one)}
          </p>
        ))}
      <p className="muted">{lawWords(point)}</p>
    </div>
  );
}
