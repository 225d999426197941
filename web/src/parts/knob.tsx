import { readTurn } from "@platewright/design";
import { clockPosition } from "@platewright/engine";
import { type KeyboardEvent, type PointerEvent, type RefObject, useEffect, useId, useRef } from "react";
import "./knob.css";

/** A knob turns over 300 degrees, from 7 o'clock to 5 o'clock. */
const SWEEP_DEGREES = 300;
const RADIUS = 32;
const SIZE = 132;
const MIDDLE = SIZE / 2;
const STEP = 0.01;
const FINE_STEP = 0.002;
const LARGE_STEP = 0.1;
/** Share by which the pointer's way counts with Shift held. */
const FINE_DRAG = 0.15;
/** Pixels of a wheel for one step. */
const WHEEL_PIXELS = 50;
/** After the wheel has rested so long, what it did is one step. */
const WHEEL_MILLISECONDS = 600;

export interface KnobProps {
  readonly name: string;
  /** 0 fully down, 1 fully up. */
  readonly turn: number;
  /** As it is kept, while another turn is in hand. */
  readonly keptTurn?: number | undefined;
  readonly provenTurn?: number | undefined;
  /** Where the unit has a gain of one, when that is within its turn. */
  readonly unityTurn?: number | undefined;
  readonly onHold: (turn: number) => void;
  readonly onKeep: () => void;
  readonly onDrop: () => void;
  /** What a digit typed on the knob begins. */
  readonly onType?: (digit: string) => void;
}

/** Degrees clockwise from straight up. */
const degreesOf = (turn: number): number => -SWEEP_DEGREES / 2 + turn * SWEEP_DEGREES;

function at(turn: number, radius: number): readonly [number, number] {
  const angle = (degreesOf(turn) * Math.PI) / 180;
  return [MIDDLE + radius * Math.sin(angle), MIDDLE - radius * Math.cos(angle)];
}

const clamped = (turn: number): number => Math.min(1, Math.max(0, turn));

/** What a key turns the knob to; undefined for a key that turns nothing. */
export function turnByKey(key: string, turn: number, fine: boolean): number | undefined {
  const step = fine ? FINE_STEP : STEP;
  switch (key) {
    case "ArrowUp":
    case "ArrowRight":
      return clamped(turn + step);
    case "ArrowDown":
    case "ArrowLeft":
      return clamped(turn - step);
    case "PageUp":
      return clamped(turn + LARGE_STEP);
    case "PageDown":
      return clamped(turn - LARGE_STEP);
    case "Home":
      return 0;
    case "End":
      return 1;
    default:
      return undefined;
  }
}

/** The shorter way from one angle to another, degrees: what a pointer went around, also across the bottom. */
export const angleBetween = (from: number, to: number): number => ((((to - from + 180) % 360) + 360) % 360) - 180;

/**
 * A potentiometer as the builder sees it on the panel: turned by dragging around it (Shift fine), set by pressing on its
 * scale, by the wheel while it has the focus, by arrow keys (Shift fine, Page ten times as far), to its ends by Home and End.
 * Let go, the turn is kept; Escape puts it back.
 */
export function Knob(props: KnobProps) {
  const { name, turn, keptTurn = turn, provenTurn, unityTurn, onHold, onKeep, onDrop, onType } = props;
  const drag = useRef<{ degrees: number; turn: number; moved: boolean }>(undefined);
  const svg = useRef<SVGSVGElement>(null);
  useWheel(svg, turn, onHold, onKeep);
  const live = turn !== keptTurn;

  const pressed = (event: PointerEvent<SVGSVGElement>) => {
    if (event.button !== 0) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    event.currentTarget.focus();
    const { degrees, radius } = placeOf(event);
    // On the scale: there. On the knob itself: taken hold of where it stands.
    const pointed = radius > RADIUS && Math.abs(degrees) <= SWEEP_DEGREES / 2 + 8;
    const start = pointed ? clamped((degrees + SWEEP_DEGREES / 2) / SWEEP_DEGREES) : turn;
    drag.current = { degrees, turn: start, moved: pointed };
    if (pointed) onHold(start);
  };
  const moved = (event: PointerEvent<SVGSVGElement>) => {
    const held = drag.current;
    if (held === undefined) return;
    const { degrees, radius } = placeOf(event);
    // Close to the middle the angle says nothing.
    if (radius < 5) return;
    const way = (angleBetween(held.degrees, degrees) / SWEEP_DEGREES) * (event.shiftKey ? FINE_DRAG : 1);
    held.degrees = degrees;
    if (way === 0) return;
    // Not clamped: a pointer that went past the end comes back the same way.
    held.turn += way;
    held.moved = true;
    onHold(clamped(held.turn));
  };
  const keyed = (event: KeyboardEvent<SVGSVGElement>) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const next = turnByKey(event.key, turn, event.shiftKey);
    if (next !== undefined) onHold(next);
    else if (event.key === "Enter") onKeep();
    else if (event.key === "Escape" && live) {
      drag.current = undefined;
      event.stopPropagation();
      onDrop();
    } else if (/^\d$/.test(event.key) && onType !== undefined) {
      // Elsewhere a digit goes to a section.
      event.stopPropagation();
      onType(event.key);
    } else return;
    event.preventDefault();
  };

  const [px, py] = at(turn, RADIUS - 5);
  const [ix, iy] = at(turn, 10);
  return (
    <svg
      ref={svg}
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
      onPointerDown={pressed}
      onPointerMove={moved}
      onPointerUp={() => {
        if (drag.current?.moved === true) onKeep();
        drag.current = undefined;
      }}
      onPointerCancel={() => {
        if (drag.current !== undefined) onDrop();
        drag.current = undefined;
      }}
      onKeyDown={keyed}
      onBlur={onKeep}
    >
      {Array.from({ length: 11 }, (_, n) => {
        const [x1, y1] = at(n / 10, RADIUS + 4);
        const [x2, y2] = at(n / 10, RADIUS + 9);
        const [tx, ty] = at(n / 10, RADIUS + 20);
        return (
          <g key={n}>
            <path className="knob-tick" d={`M${x1} ${y1}L${x2} ${y2}`} />
            <text className={`knob-number${n % 5 === 0 ? " knob-end" : ""}`} x={tx} y={ty + 4.5} textAnchor="middle">
              {n}
            </text>
          </g>
        );
      })}
      {live && <path className="knob-way" d={arc(keptTurn, turn, RADIUS + 3)} />}
      {unityTurn !== undefined && <Mark turn={unityTurn} className="knob-unity" />}
      {provenTurn !== undefined && <Mark turn={provenTurn} className="knob-proven" />}
      <circle className="knob-body" cx={MIDDLE} cy={MIDDLE} r={RADIUS} />
      <path className="knob-pointer" d={`M${ix} ${iy}L${px} ${py}`} />
    </svg>
  );
}

/** Where a pointer is from the middle: degrees clockwise from straight up, and how far out. */
function placeOf(event: PointerEvent<SVGSVGElement>): { readonly degrees: number; readonly radius: number } {
  const box = event.currentTarget.getBoundingClientRect();
  const x = event.clientX - box.left - box.width / 2;
  const y = event.clientY - box.top - box.height / 2;
  return { degrees: (Math.atan2(x, -y) * 180) / Math.PI, radius: (Math.hypot(x, y) * SIZE) / box.width };
}

/** The wheel turns what has the focus and nothing else: a page that is scrolled over a knob must not change the unit. */
function useWheel(
  svg: RefObject<SVGSVGElement | null>,
  turn: number,
  onHold: (turn: number) => void,
  onKeep: () => void,
): void {
  const now = useRef({ turn, onHold, onKeep });
  useEffect(() => {
    now.current = { turn, onHold, onKeep };
  });
  useEffect(() => {
    const knob = svg.current;
    if (knob === null) return;
    let rest: ReturnType<typeof setTimeout> | undefined;
    const wheel = (event: WheelEvent) => {
      if (document.activeElement !== knob || event.ctrlKey) return;
      event.preventDefault();
      const by = (event.deltaY === 0 ? event.deltaX : event.deltaY) * (event.deltaMode === 1 ? 16 : 1);
      const next = clamped(now.current.turn - (by / WHEEL_PIXELS) * (event.shiftKey ? FINE_STEP : STEP));
      // Two wheels may turn before the screen is drawn again.
      now.current = { ...now.current, turn: next };
      now.current.onHold(next);
      clearTimeout(rest);
      rest = setTimeout(() => now.current.onKeep(), WHEEL_MILLISECONDS);
    };
    knob.addEventListener("wheel", wheel, { passive: false });
    return () => {
      clearTimeout(rest);
      knob.removeEventListener("wheel", wheel);
    };
  }, [svg]);
}

/** Along the scale from one turn to another. */
function arc(from: number, to: number, radius: number): string {
  const [x0, y0] = at(from, radius);
  const [x1, y1] = at(to, radius);
  const large = Math.abs(to - from) * SWEEP_DEGREES > 180 ? 1 : 0;
  return `M${x0} ${y0}A${radius} ${radius} 0 ${large} ${to > from ? 1 : 0} ${x1} ${y1}`;
}

function Mark({ turn, className }: { turn: number; className: string }) {
  const [x1, y1] = at(turn, RADIUS + 1);
  const [x2, y2] = at(turn, RADIUS + 12);
  return <path className={className} d={`M${x1} ${y1}L${x2} ${y2}`} />;
}

/**
 * The position as a number that can be typed over; Enter or leaving keeps it, Escape takes it back. What is being typed is
 * its parent's, so that a digit typed on the knob begins here.
 */
export function TurnField({
  name,
  turn,
  field,
  draft,
  onDraft,
  onHold,
  onKeep,
  onDrop,
}: Pick<KnobProps, "name" | "turn" | "onHold" | "onKeep" | "onDrop"> & {
  readonly field: RefObject<HTMLInputElement | null>;
  readonly draft: string | undefined;
  readonly onDraft: (draft: string | undefined) => void;
}) {
  const id = useId();
  const read = draft === undefined ? undefined : readTurn(draft);
  const wrong = read?.ok === false ? read.failure : undefined;
  const type = (text: string) => {
    onDraft(text);
    const there = readTurn(text);
    if (there.ok) onHold(there.value);
  };
  const end = (keep: boolean) => {
    if (draft === undefined) return;
    if (keep && wrong === undefined) onKeep();
    else onDrop();
    onDraft(undefined);
  };
  return (
    <span className="turn-field">
      <input
        ref={field}
        className={`field${draft === undefined ? "" : " in-hand"}`}
        aria-label={`${name} position`}
        value={draft ?? (turn * 10).toFixed(1)}
        spellCheck={false}
        autoComplete="off"
        data-dirty={draft !== undefined}
        aria-invalid={wrong !== undefined}
        aria-describedby={wrong === undefined ? undefined : id}
        title="0 to 10, or the clock: 3 o'clock"
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => type(event.currentTarget.value)}
        onBlur={() => end(true)}
        onKeyDown={(event) => {
          if (event.key === "Enter") end(true);
          else if (event.key === "Escape") {
            event.stopPropagation();
            end(false);
          } else if (event.key === "ArrowUp" || event.key === "ArrowDown") {
            event.preventDefault();
            type(((turnByKey(event.key, turn, event.shiftKey) ?? turn) * 10).toFixed(2));
          }
        }}
      />
      <span className="muted"> {clockPosition(turn)}</span>
      {wrong !== undefined && (
        <span id={id} className="field-words" role="alert">
          {wrong}
        </span>
      )}
    </span>
  );
}
