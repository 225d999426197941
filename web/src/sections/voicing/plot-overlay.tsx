import { wiperFraction } from "@platewright/design";
import { pointOf, type Scene } from "@platewright/drawing";
import { clockPosition } from "@platewright/engine";
import type { Curves } from "./harmonics-plot.tsx";
import { quantity, percentWords } from "./words.ts";

type Panel = NonNullable<Scene["panels"]>[number];

/** Share of the level that an arrow key moves the cursor by, and decibels that it moves the ring by. */
const CURSOR_STEP = 1.05;
const FINE_CURSOR_STEP = 1.01;
const RING_STEP_DECIBELS = 0.5;
const FINE_RING_STEP_DECIBELS = 0.1;
/** Numbers of the drive nearer than this to the one before are left out, millimetres. */
const APART_MILLIMETRES = 5;

/** Over the plot: where each position of the drive would put the cursor, for the level that comes in. */
export function DriveScale({
  panel,
  drive,
  gridShare,
  inputVolts,
}: {
  panel: Panel;
  drive: Curves["drive"];
  gridShare: number;
  inputVolts: number;
}) {
  if (drive === null || !(drive.fraction > 0)) return null;
  const places = Array.from({ length: 10 }, (_, n) => n + 1).flatMap((mark) => {
    const volts = (inputVolts * gridShare * wiperFraction(drive.taper, mark / 10)) / drive.fraction;
    const [x] = pointOf(panel, volts, 1);
    return x < panel.left || x > panel.right ? [] : [{ mark, x }];
  });
  if (places.length === 0) return null;
  let last = Number.NEGATIVE_INFINITY;
  return (
    <g aria-hidden="true">
      {places.map(({ mark, x }) => {
        const named = x - last >= APART_MILLIMETRES;
        if (named) last = x;
        return (
          <g key={mark}>
            <path d={`M${x} ${panel.top}v-1.4`} className="voicing-drive-tick" />
            {named && (
              <text x={x} y={panel.top - 2.2} textAnchor="middle" className="voicing-drive">
                {mark}
              </text>
            )}
          </g>
        );
      })}
      <text x={panel.left - 1.8} y={panel.top - 2.2} textAnchor="end" className="voicing-drive">
        drive
      </text>
    </g>
  );
}

export function Cursor({
  panel,
  gridVolts,
  inputVolts,
  ratio,
  onMove,
}: {
  panel: Panel;
  gridVolts: number;
  inputVolts: number;
  ratio: number | undefined;
  onMove: (by: number) => void;
}) {
  const [x] = pointOf(panel, gridVolts, 1);
  const inside = x >= panel.left && x <= panel.right;
  const shown = Math.min(panel.right, Math.max(panel.left, x));
  const leftOf = shown > (panel.left + panel.right) / 2;
  const [place, anchor] = leftOf ? [shown - 1.6, "end" as const] : [shown + 1.6, "start" as const];
  const size = ratio === undefined ? "" : percentWords(ratio);
  return (
    <g
      className="voicing-cursor"
      role="slider"
      tabIndex={0}
      aria-label="Input level"
      aria-valuemin={0.001}
      aria-valuemax={100}
      aria-valuenow={inputVolts}
      aria-valuetext={`${quantity(inputVolts, "V")} in, ${quantity(gridVolts, "V")} at the grid${size === "" ? "" : `, H2 ${size}`}`}
      onKeyDown={(event) => {
        const step = event.shiftKey ? FINE_CURSOR_STEP : CURSOR_STEP;
        if (event.key === "ArrowRight" || event.key === "ArrowUp") onMove(step);
        else if (event.key === "ArrowLeft" || event.key === "ArrowDown") onMove(1 / step);
        else return;
        event.preventDefault();
      }}
    >
      {inside && <path d={`M${x} ${panel.top}V${panel.bottom}`} className="voicing-line" />}
      {inside && <path d={`M${x - 1.3} ${panel.top - 1.6}h2.6l-1.3 2Z`} className="voicing-tip" />}
      <text x={place} y={panel.bottom - 1.9} textAnchor={anchor} className="voicing-said">
        {inside
          ? `${quantity(inputVolts, "V")} in`
          : `${leftOf ? "beyond" : "below"} the plot: ${quantity(gridVolts, "V")} at the grid`}
      </text>
    </g>
  );
}

/** The H2 wanted. */
export function Ring({
  panel,
  gridVolts,
  ratio,
  state,
  onMove,
  onDrop,
}: {
  panel: Panel;
  gridVolts: number;
  ratio: number;
  state: "free" | "kept" | "held";
  onMove: (decibels: number) => void;
  onDrop: () => void;
}) {
  const [x, y] = pointOf(panel, gridVolts, 100 * ratio);
  if (x < panel.left || x > panel.right || y < panel.top || y > panel.bottom) return null;
  const right = x < panel.right - 34;
  return (
    <g
      className={`voicing-ring voicing-ring-${state}`}
      role="slider"
      tabIndex={0}
      aria-label="H2 wanted at this level"
      aria-valuemin={0.003}
      aria-valuemax={50}
      aria-valuenow={Number((100 * ratio).toPrecision(3))}
      aria-valuetext={percentWords(ratio)}
      onKeyDown={(event) => {
        const step = event.shiftKey ? FINE_RING_STEP_DECIBELS : RING_STEP_DECIBELS;
        if (event.key === "ArrowUp" || event.key === "ArrowRight") onMove(step);
        else if (event.key === "ArrowDown" || event.key === "ArrowLeft") onMove(-step);
        else if (event.key === "Escape" && state === "held") onDrop();
        else return;
        event.preventDefault();
        event.stopPropagation();
      }}
    >
      <circle cx={x} cy={y} r={2.4} className="voicing-ring-halo" />
      <circle cx={x} cy={y} r={2.4} />
      {state !== "free" && (
        <text x={right ? x + 4 : x - 4} y={y - 2.6} textAnchor={right ? "start" : "end"} className="voicing-said">
          wanted {percentWords(ratio)}
        </text>
      )}
    </g>
  );
}

/** "8.4, 3:30 o'clock". */
export const positionWords = (turn: number): string => `${(turn * 10).toFixed(1)}, ${clockPosition(turn)}`;
