import { partCode, type Series } from "@platewright/engine";
import { type KeyboardEvent, type PointerEvent, useMemo, useRef } from "react";
import { stepped } from "../../parts/stepped.ts";
import { sliderScale } from "./slider-scale.ts";
import { printed } from "./words.ts";

const WIDTH = 264;
const HEIGHT = 46;
const PAD = 12;
const LINE = 16;

interface Mark {
  readonly value: number;
  readonly words: string;
}

/**
 * A value on a logarithmic scale of its preferred series: dragged, or stepped by arrows (Shift finest, Home and End the ends).
 * One drag is one step; Escape puts it back. Hollow: proven. Marked: what a finding's fix would set.
 */
export function ValueSlider({
  name,
  quantity,
  unit,
  value,
  kept,
  proven,
  marks,
  series,
  onHold,
  onKeep,
  onDrop,
}: {
  name: string;
  quantity: "resistance" | "capacitance" | "inductance";
  unit: string;
  /** With what is in hand. */
  value: number;
  kept: number;
  proven: number | undefined;
  marks: readonly Mark[];
  series: Series;
  onHold: (written: string) => void;
  onKeep: () => void;
  onDrop: () => void;
}) {
  // The scale stays where it is while something is in hand.
  const scale = useMemo(() => sliderScale(kept, series), [kept, series]);
  const dragging = useRef(false);
  const x = (at: number) => PAD + Math.min(1, Math.max(0, scale.shareOf(at))) * (WIDTH - 2 * PAD);
  const within = (at: number) => scale.shareOf(at) > -0.02 && scale.shareOf(at) < 1.02;
  const at = (event: PointerEvent<SVGSVGElement>) => {
    const frame = event.currentTarget.getBoundingClientRect();
    const share = (((event.clientX - frame.left) / frame.width) * WIDTH - PAD) / (WIDTH - 2 * PAD);
    return scale.nearest(Math.min(1, Math.max(0, share)));
  };
  const hold = (next: number) => {
    if (Math.abs(next / value - 1) > 1e-9) onHold(partCode(next, quantity));
  };
  const key = (event: KeyboardEvent<SVGSVGElement>) => {
    const by = ["ArrowRight", "ArrowUp"].includes(event.key)
      ? 1
      : ["ArrowLeft", "ArrowDown"].includes(event.key)
        ? -1
        : 0;
    const [first, last] = [scale.values[0], scale.values.at(-1)];
    if (by !== 0) onHold(stepped(quantity, value, by, event.shiftKey ? "E96" : series));
    else if (event.key === "Home" && first !== undefined) hold(first);
    else if (event.key === "End" && last !== undefined) hold(last);
    else if (event.key === "Enter") onKeep();
    else if (event.key === "Escape") {
      event.stopPropagation();
      dragging.current = false;
      onDrop();
      return;
    } else return;
    event.preventDefault();
  };
  const live = Math.abs(value / kept - 1) > 1e-9;
  const [low, high] = [scale.values[0] ?? kept, scale.values.at(-1) ?? kept];
  return (
    <svg
      className={`circuit-slider${live ? " circuit-slider-live" : ""}`}
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      role="slider"
      tabIndex={0}
      aria-label={name}
      aria-valuemin={low}
      aria-valuemax={high}
      aria-valuenow={value}
      aria-valuetext={printed(value, unit)}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        dragging.current = true;
        hold(at(event));
      }}
      onPointerMove={(event) => {
        if (dragging.current) hold(at(event));
      }}
      onPointerUp={() => {
        if (dragging.current) onKeep();
        dragging.current = false;
      }}
      onPointerCancel={() => {
        dragging.current = false;
        onDrop();
      }}
      onBlur={() => {
        if (!dragging.current) onKeep();
      }}
      onKeyDown={key}
    >
      <path className="circuit-slider-line" d={`M${PAD} ${LINE}H${WIDTH - PAD}`} />
      {scale.values.map((one) => (
        <path key={one} className="circuit-slider-line" d={`M${x(one)} ${LINE - 4}V${LINE}`} />
      ))}
      {proven !== undefined && within(proven) && (
        <>
          <path className="circuit-slider-way" d={`M${x(proven)} ${LINE}H${x(value)}`} />
          <rect className="circuit-slider-proven" x={x(proven) - 3.5} y={LINE - 8} width={7} height={16} />
        </>
      )}
      {marks
        .filter((mark) => within(mark.value))
        .map((mark) => (
          <g key={mark.words}>
            <path className="circuit-slider-mark" d={`M${x(mark.value)} ${LINE - 9}V${LINE + 9}`} />
            <text className="circuit-slider-text" x={x(mark.value)} y={LINE + 24} textAnchor="middle">
              {mark.words}
            </text>
          </g>
        ))}
      <rect className="circuit-slider-now" x={x(value) - 6} y={LINE - 12} width={12} height={24} />
      <text className="circuit-slider-text" x={PAD - 10} y={LINE + 27}>
        {printed(low, unit)}
      </text>
      <text className="circuit-slider-text" x={WIDTH - PAD + 10} y={LINE + 27} textAnchor="end">
        {printed(high, unit)}
      </text>
    </svg>
  );
}
