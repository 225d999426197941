import { clockPosition } from "@platewright/engine";
import { type PointerEvent, useRef } from "react";

/** A knob turns over 300 degrees, from 7 o'clock to 5 o'clock. */
const SWEEP_DEGREES = 300;
const RADIUS = 32;
const SIZE = 132;
const MIDDLE = SIZE / 2;
const STEP = 0.01;
const FINE_STEP = 0.002;

export interface KnobProps {
  readonly name: string;
  /** 0 fully down, 1 fully up. */
  readonly turn: number;
  readonly provenTurn?: number | undefined;
  /** Where the unit has a gain of one, when that is within its turn. */
  readonly unityTurn?: number | undefined;
  /** In hand: drawn as what is being changed. */
  readonly live?: boolean;
  readonly onHold: (turn: number) => void;
  readonly onKeep: () => void;
  readonly onDrop: () => void;
}

/** Degrees clockwise from straight up. */
const degreesOf = (turn: number): number => -SWEEP_DEGREES / 2 + turn * SWEEP_DEGREES;

function at(turn: number, radius: number): readonly [number, number] {
  const angle = (degreesOf(turn) * Math.PI) / 180;
  return [MIDDLE + radius * Math.sin(angle), MIDDLE - radius * Math.cos(angle)];
}

const clamped = (turn: number): number => Math.min(1, Math.max(0, turn));

/**
 * A potentiometer as the builder sees it on the panel: turned by dragging around it, by the wheel, by arrow keys (Shift
 * fine), to its ends by Home and End. Let go, the turn is kept; Escape puts it back.
 */
export function Knob({ name, turn, provenTurn, unityTurn, live = false, onHold, onKeep, onDrop }: KnobProps) {
  const dragging = useRef(false);
  const turnAt = (event: PointerEvent<SVGSVGElement>): number => {
    const box = event.currentTarget.getBoundingClientRect();
    const x = event.clientX - box.left - box.width / 2;
    const y = event.clientY - box.top - box.height / 2;
    const degrees = (Math.atan2(x, -y) * 180) / Math.PI;
    return clamped((degrees + SWEEP_DEGREES / 2) / SWEEP_DEGREES);
  };
  const [px, py] = at(turn, RADIUS - 8);
  const [ix, iy] = at(turn, 6);
  return (
    <svg
      className={`knob${live ? " knob-live" : ""}`}
      viewBox={`0 0 ${SIZE} ${SIZE}`}
      width={SIZE}
      height={SIZE}
      role="slider"
      tabIndex={0}
      aria-label={name}
      aria-valuemin={0}
      aria-valuemax={10}
      aria-valuenow={Number((turn * 10).toFixed(2))}
      aria-valuetext={`${(turn * 10).toFixed(1)}, ${clockPosition(turn)}`}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        event.currentTarget.focus();
        dragging.current = true;
        onHold(turnAt(event));
      }}
      onPointerMove={(event) => {
        if (dragging.current) onHold(turnAt(event));
      }}
      onPointerUp={() => {
        if (dragging.current) onKeep();
        dragging.current = false;
      }}
      onPointerCancel={() => {
        if (dragging.current) onDrop();
        dragging.current = false;
      }}
      onKeyDown={(event) => {
        const fine = event.shiftKey ? FINE_STEP : STEP;
        const by =
          event.key === "ArrowUp" || event.key === "ArrowRight"
            ? fine
            : event.key === "ArrowDown" || event.key === "ArrowLeft"
              ? -fine
              : event.key === "PageUp"
                ? 0.1
                : event.key === "PageDown"
                  ? -0.1
                  : undefined;
        if (by !== undefined) onHold(clamped(turn + by));
        else if (event.key === "Home") onHold(0);
        else if (event.key === "End") onHold(1);
        else if (event.key === "Enter") onKeep();
        else if (event.key === "Escape") {
          dragging.current = false;
          event.stopPropagation();
          onDrop();
          return;
        } else return;
        event.preventDefault();
      }}
      onBlur={onKeep}
    >
      {Array.from({ length: 11 }, (_, n) => {
        const [x1, y1] = at(n / 10, RADIUS + 4);
        const [x2, y2] = at(n / 10, RADIUS + 9);
        const [tx, ty] = at(n / 10, RADIUS + 20);
        return (
          <g key={n}>
            <path className="knob-tick" d={`M${x1} ${y1}L${x2} ${y2}`} />
            <text className="knob-number" x={tx} y={ty + 4.5} textAnchor="middle">
              {n}
            </text>
          </g>
        );
      })}
      {unityTurn !== undefined && <Mark turn={unityTurn} className="knob-unity" />}
      {provenTurn !== undefined && <Mark turn={provenTurn} className="knob-proven" />}
      <circle className="knob-body" cx={MIDDLE} cy={MIDDLE} r={RADIUS} />
      <path className="knob-pointer" d={`M${ix} ${iy}L${px} ${py}`} />
    </svg>
  );
}

function Mark({ turn, className }: { turn: number; className: string }) {
  const [x1, y1] = at(turn, RADIUS + 1);
  const [x2, y2] = at(turn, RADIUS + 12);
  return <path className={className} d={`M${x1} ${y1}L${x2} ${y2}`} />;
}
