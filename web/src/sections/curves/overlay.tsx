import { pointOf } from "@platewright/drawing";
import { printValue } from "@platewright/engine";
import { type KeyboardEvent, useId } from "react";
import type { StageAnswer } from "./plane-view.tsx";

type Panel = Parameters<typeof pointOf>[0];

/** Load lines, swing, operating points: what an edit moves, in millimetres of the sheet. */
export function Overlay({
  panel,
  stage,
  held,
  onPointKey,
  onLoadKey,
  onLeave,
}: {
  panel: Panel;
  stage: StageAnswer;
  held: boolean;
  onPointKey: (event: KeyboardEvent) => void;
  onLoadKey: (event: KeyboardEvent) => void;
  onLeave: () => void;
}) {
  const clip = useId();
  const { point, dc, ac, swing, was } = stage;
  const [x, y] = pointOf(panel, point.plateVolts, point.plateAmps);
  const line = (open: number, short: number) => {
    const [x0, y0] = pointOf(panel, 0, short);
    const [x1, y1] = pointOf(panel, open, 0);
    return `M${x0} ${y0}L${x1} ${y1}`;
  };
  const alike = Math.abs(ac.ohms / dc.ohms - 1) < 0.02;
  const path = (volts: readonly number[], amps: readonly number[]) =>
    volts
      .map((value, n) => {
        const [px, py] = pointOf(panel, value, amps[n] ?? 0);
        return `${n === 0 ? "M" : "L"}${px.toFixed(2)} ${py.toFixed(2)}`;
      })
      .join("");
  const words = `${printValue(point.plateVolts, "V")}, ${printValue(point.plateAmps, "A")}`;
  const [ex, ey] = pointOf(panel, 0, dc.shortAmps);
  const end = [ex, Math.max(panel.top, ey)] as const;
  const before = was === null ? undefined : pointOf(panel, was.at.plateVolts, was.at.plateAmps);
  const right = x < (panel.left + panel.right) / 2;
  return (
    <g className={held ? "curves-held" : undefined}>
      <clipPath id={clip}>
        <rect x={panel.left} y={panel.top} width={panel.right - panel.left} height={panel.bottom - panel.top} />
      </clipPath>
      <g clipPath={`url(#${clip})`}>
        <path className="curves-load" d={line(dc.openVolts, dc.shortAmps)} />
        {!alike && <path className="curves-load curves-ac" d={line(ac.openVolts, ac.shortAmps)} />}
        {swing !== null && <path className="curves-swing" d={path(swing.plateVolts, swing.plateAmps)} />}
        {before !== undefined && <circle className="curves-was" cx={before[0]} cy={before[1]} r={1.5} />}
      </g>
      <g
        className="curves-handle"
        role="slider"
        tabIndex={0}
        aria-label={`Load line of ${stage.name}`}
        aria-valuemin={0}
        aria-valuemax={1000}
        aria-valuenow={Math.round(dc.ohms / 100) / 10}
        aria-valuetext={`${printValue(dc.ohms, "Ω")}${stage.loadedBy === null ? "" : `, ${stage.loadedBy} follows`}`}
        onKeyDown={onLoadKey}
        onBlur={onLeave}
      >
        <rect x={end[0] - 1.6} y={end[1] - 1.6} width={3.2} height={3.2} />
        <text className="curves-said curves-quiet" x={end[0] + 3} y={Math.max(panel.top + 4, end[1] + 4.5)}>
          {alike
            ? `dc and ac load ${printValue(dc.ohms, "Ω")}`
            : `dc ${printValue(dc.ohms, "Ω")}, ac ${printValue(ac.ohms, "Ω")} dashed`}
        </text>
      </g>
      <g
        className="curves-handle"
        role="slider"
        tabIndex={0}
        aria-label={`Operating point of ${stage.name}`}
        aria-valuemin={0}
        aria-valuemax={1000}
        aria-valuenow={Number((point.plateAmps * 1000).toFixed(3))}
        aria-valuetext={`${words}${stage.setBy === null ? "" : `, ${stage.setBy} follows`}`}
        onKeyDown={onPointKey}
        onBlur={onLeave}
      >
        <circle cx={x} cy={y} r={2.3} />
        <text className="curves-said" x={right ? x + 4 : x - 4} y={y - 3.4} textAnchor={right ? "start" : "end"}>
          {words}
        </text>
        {was !== null && (
          <text
            className="curves-said curves-quiet"
            x={right ? x + 4 : x - 4}
            y={y + 1.4}
            textAnchor={right ? "start" : "end"}
          >
            was {printValue(was.at.plateVolts, "V")}, {printValue(was.at.plateAmps, "A")}
          </text>
        )}
      </g>
    </g>
  );
}
