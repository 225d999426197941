import { gridCurrentWords, pointOf, type Scene, valueAt } from "@platewright/drawing";
import { printValue } from "@platewright/engine";
import { type KeyboardEvent, memo, type PointerEvent, useId, useRef } from "react";
import type { Following } from "./use-follow.ts";
import { pointWords, spanWords, type StageAnswer, voltsWords } from "./words.ts";

type Panel = NonNullable<Scene["panels"]>[number];
type Place = readonly [number, number];
type Line = StageAnswer["dc"];

/** Load lines closer than this share of each other are drawn and named as one. */
const ALIKE = 0.02;
const PAGE_STEPS = 5;
const LEAST_AMPS = 1e-5;

/** Where a drag would have it: the point on the load line nearest the pointer, or the line through it. */
export type Wished = {
  readonly at: { readonly plateVolts: number; readonly plateAmps: number };
  readonly load?: boolean;
};

/**
 * Load lines, swing and operating points: what an edit moves, in millimetres of the sheet, over curves that stay. Two
 * handles: the operating point along its load line, and the load line's upper end about the volts without current.
 */
export const Overlay = memo(function Overlay({
  panel,
  onsetVolts,
  stage,
  rest,
  held,
  wished,
  onWished,
  follow,
}: {
  panel: Panel;
  /** Grid volts from which the grid conducts. */
  onsetVolts: number | undefined;
  stage: StageAnswer;
  /** As it stood before something came in hand. */
  rest: StageAnswer;
  held: boolean;
  wished: Wished | undefined;
  onWished: (wished: Wished | undefined) => void;
  follow: Following;
}) {
  const clip = useId();
  const pulled = useRef<{ readonly what: "point" | "load"; readonly line: Line; readonly off: Place }>(undefined);
  const { point, dc, ac, swing, was } = stage;
  const at = pointOf(panel, point.plateVolts, point.plateAmps);
  const end = upperEnd(panel, dc);
  const alike = Math.abs(ac.ohms / dc.ohms - 1) < ALIKE;
  const moved = was !== null && pointWords(was.point) !== pointWords(point);
  const lineMoved =
    was !== null && Math.abs(was.dc.ohms / dc.ohms - 1) + Math.abs(was.dc.openVolts / dc.openVolts - 1) > ALIKE;

  const sheetPlace = (event: PointerEvent<SVGGElement>): Place => {
    const svg = event.currentTarget.ownerSVGElement;
    if (svg === null) return at;
    const frame = svg.getBoundingClientRect();
    const scale = svg.viewBox.baseVal.width / frame.width;
    return [(event.clientX - frame.left) * scale, (event.clientY - frame.top) * scale];
  };
  const leave = useRef<() => void>(undefined);
  const put = (event: PointerEvent<SVGGElement>, keep: boolean) => {
    if (pulled.current === undefined) return;
    pulled.current = undefined;
    leave.current?.();
    onWished(undefined);
    if (event.currentTarget.hasPointerCapture(event.pointerId))
      event.currentTarget.releasePointerCapture(event.pointerId);
    if (keep) follow.keep();
    else follow.drop();
  };
  const handle = (what: "point" | "load", mark: Place) => ({
    onPointerDown: (event: PointerEvent<SVGGElement>) => {
      if (event.button !== 0) return;
      const [x, y] = sheetPlace(event);
      pulled.current = { what, line: dc, off: [mark[0] - x, mark[1] - y] };
      event.currentTarget.setPointerCapture(event.pointerId);
      event.currentTarget.focus();
      event.preventDefault();
      // Escape wherever the focus is: what is in hand is put down, and the drag is over.
      const heard = ({ key }: globalThis.KeyboardEvent) => {
        if (key !== "Escape") return;
        pulled.current = undefined;
        leave.current?.();
        onWished(undefined);
        follow.drop();
      };
      addEventListener("keydown", heard, true);
      leave.current = () => removeEventListener("keydown", heard, true);
    },
    onPointerMove: (event: PointerEvent<SVGGElement>) => {
      const pull = pulled.current;
      if (pull === undefined) return;
      const [x, y] = sheetPlace(event);
      const place: Place = [x + pull.off[0], y + pull.off[1]];
      if (pull.what === "point") {
        const wanted = onLine(panel, pull.line, place);
        onWished({ at: wanted });
        follow.ask({ plateAmps: wanted.plateAmps }, event.shiftKey);
      } else {
        const { x: volts, y: amps } = valueAt(panel, place);
        const wanted = { plateVolts: Math.max(0, volts), plateAmps: Math.max(LEAST_AMPS, amps) };
        if (wanted.plateVolts > 0.9 * pull.line.openVolts) return;
        onWished({ at: wanted, load: true });
        follow.ask({ loadOhms: (pull.line.openVolts - wanted.plateVolts) / wanted.plateAmps }, event.shiftKey);
      }
    },
    onPointerUp: (event: PointerEvent<SVGGElement>) => put(event, true),
    onPointerCancel: (event: PointerEvent<SVGGElement>) => put(event, false),
    onKeyDown: (event: KeyboardEvent) => {
      const turned = what === "point" ? stage.setBy : stage.loadedBy;
      const by = STEPS[event.key];
      if (event.key === "Enter") follow.keep();
      else if (event.key === "Escape") follow.drop();
      // Nothing turns it: asked all the same, so that it says why.
      else if (by !== undefined && turned === null)
        follow.ask(
          what === "point" ? { plateAmps: point.plateAmps * 1.05 ** -by } : { loadOhms: dc.ohms * 1.05 ** by },
          false,
        );
      else if (by !== undefined && turned !== null) follow.step(turned, by, event.shiftKey);
      else return;
      event.preventDefault();
      event.stopPropagation();
    },
    onBlur: follow.keep,
  });

  const right = at[0] < panel.left + 0.62 * (panel.right - panel.left);
  const pivot = pointOf(panel, dc.openVolts, 0);
  return (
    <g className={held ? "curves-held" : undefined}>
      <clipPath id={clip}>
        <rect x={panel.left} y={panel.top} width={panel.right - panel.left} height={panel.bottom - panel.top} />
      </clipPath>
      <g clipPath={`url(#${clip})`}>
        {was !== null && lineMoved && <path className="curves-was-line" d={lineOf(panel, was.dc)} />}
        <path className="curves-load" d={lineOf(panel, dc)} />
        {!alike && <path className="curves-load curves-ac" d={lineOf(panel, ac)} />}
        {wished?.load === true && (
          <path
            className="curves-wish"
            d={pathOf([pivot, pointOf(panel, wished.at.plateVolts, wished.at.plateAmps)])}
          />
        )}
        {swing !== null && (
          <path
            className="curves-swing"
            d={pathOf(swing.plateVolts.map((volts, n) => pointOf(panel, volts, swing.plateAmps[n] ?? 0)))}
          />
        )}
        {moved && (
          <path className="curves-was" d={ringAt(pointOf(panel, was.point.plateVolts, was.point.plateAmps), 1.5)} />
        )}
        {wished !== undefined && (
          <path className="curves-wish" d={ringAt(pointOf(panel, wished.at.plateVolts, wished.at.plateAmps), 3.4)} />
        )}
      </g>
      <LineName
        panel={panel}
        at={at}
        line={dc}
        live={held && name(rest.dc.ohms) !== name(dc.ohms)}
        above={dc.ohms >= ac.ohms}
      >
        {alike ? `DC and AC load ${name(dc.ohms)}` : `DC load ${name(dc.ohms)}`}
      </LineName>
      {!alike && (
        <LineName
          panel={panel}
          at={at}
          line={ac}
          live={held && name(rest.ac.ohms) !== name(ac.ohms)}
          above={ac.ohms > dc.ohms}
        >
          {`AC load ${name(ac.ohms)}`}
        </LineName>
      )}
      {swing !== null && <SwingEnds panel={panel} swing={swing} />}
      {onsetVolts !== undefined &&
        gridCurrentWords(onsetVolts).map((words, row) => (
          <text
            key={words}
            className={`curves-said curves-region${row === 0 ? "" : " curves-quiet"}`}
            x={panel.left + 2}
            y={panel.top + 4.6 + row * 4.6}
          >
            {words}
          </text>
        ))}
      <g
        className="curves-handle"
        role="slider"
        tabIndex={0}
        aria-label={`Load line of ${stage.name}`}
        aria-orientation="vertical"
        aria-valuemin={0}
        aria-valuemax={Math.round(panel.y.to * 1000)}
        aria-valuenow={milli(dc.shortAmps)}
        aria-valuetext={`DC load ${name(dc.ohms)}, ends at ${printValue(dc.shortAmps, "A")}${followsWords(stage.loadedBy)}`}
        {...handle("load", end)}
      >
        <title>{`Drag the load line${followsWords(stage.loadedBy)}`}</title>
        <rect className="curves-hit" x={end[0] - 4} y={end[1] - 4} width={8} height={8} />
        <path className="curves-focus" d={ringAt(end, 3.6)} />
        <rect className="curves-grip" x={end[0] - 1.6} y={end[1] - 1.6} width={3.2} height={3.2} />
      </g>
      <g
        className="curves-handle"
        role="slider"
        tabIndex={0}
        aria-label={`Operating point of ${stage.name}`}
        aria-orientation="vertical"
        aria-valuemin={0}
        aria-valuemax={Math.round(panel.y.to * 1000)}
        aria-valuenow={milli(point.plateAmps)}
        aria-valuetext={`${pointWords(point)}${followsWords(stage.setBy)}`}
        {...handle("point", at)}
      >
        <title>{`Drag the operating point along its load line${followsWords(stage.setBy)}`}</title>
        <rect className="curves-hit" x={at[0] - 4} y={at[1] - 4} width={8} height={8} />
        <path className="curves-focus" d={ringAt(at, 3.6)} />
        <circle className="curves-grip" cx={at[0]} cy={at[1]} r={2.2} />
        <text
          className="curves-said"
          x={right ? at[0] + 3.4 : at[0] - 3.4}
          y={right ? at[1] - (moved ? 7.6 : 3) : at[1] + 6}
          textAnchor={right ? "start" : "end"}
        >
          {pointWords(point)}
        </text>
        {moved && (
          <text
            className="curves-said curves-quiet"
            x={right ? at[0] + 3.4 : at[0] - 3.4}
            y={right ? at[1] - 3 : at[1] + 10.6}
            textAnchor={right ? "start" : "end"}
          >
            was {pointWords(was.point)}
          </text>
        )}
      </g>
    </g>
  );
});

/** More volts and less current is to the right and down: more of the resistance. */
const STEPS: Readonly<Record<string, number>> = {
  ArrowUp: -1,
  ArrowLeft: -1,
  ArrowDown: 1,
  ArrowRight: 1,
  PageUp: -PAGE_STEPS,
  PageDown: PAGE_STEPS,
};

const name = (ohms: number): string => printValue(ohms, "Ω");
const milli = (amps: number): number => Number((amps * 1000).toFixed(3));
const followsWords = (turned: StageAnswer["setBy"]): string => (turned === null ? "" : `; ${turned.part} follows`);

const pathOf = (places: readonly Place[]): string =>
  places.map(([x, y], n) => `${n === 0 ? "M" : "L"}${x.toFixed(2)} ${y.toFixed(2)}`).join("");

const lineOf = (panel: Panel, { openVolts, shortAmps }: Line): string =>
  pathOf([pointOf(panel, 0, shortAmps), pointOf(panel, openVolts, 0)]);

const ringAt = ([x, y]: Place, r: number): string =>
  `M${x - r} ${y}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`;

/** Where a load line enters the picture at its upper end: at the axis, or at the top. */
function upperEnd(panel: Panel, line: Line): Place {
  return line.shortAmps <= panel.y.to
    ? pointOf(panel, 0, line.shortAmps)
    : pointOf(panel, Math.min(line.openVolts - line.ohms * panel.y.to, panel.x.to), panel.y.to);
}

/** The point of a load line nearest to a place of the sheet. */
function onLine(panel: Panel, { openVolts, shortAmps }: Line, [x, y]: Place) {
  const [a, b] = [pointOf(panel, openVolts, 0), pointOf(panel, 0, shortAmps)];
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const share = Math.min(0.995, Math.max(0.005, ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy)));
  return { plateVolts: openVolts * (1 - share), plateAmps: shortAmps * share };
}

/** Width of a name along a line, about; and its distance from the line. */
const NAME_WIDTH = 36;
const OFF = 1.3;
const CAP = 2.6;

/** The name of a load line along it, on the right of the point where there is room, else on its left. */
function LineName({
  panel,
  at,
  line,
  live,
  above,
  children,
}: {
  panel: Panel;
  at: Place;
  line: Line;
  live: boolean;
  above: boolean;
  children: string;
}) {
  const [from, to] = [upperEnd(panel, line), lowerEnd(panel, line)];
  const length = (a: Place, b: Place) => Math.hypot(b[0] - a[0], b[1] - a[1]);
  const isRight = length(at, to) > NAME_WIDTH + 8;
  const [a, b] = isRight ? [at, to] : [from, at];
  // Past the middle: the lines part there, and the words of the point and the swing are done.
  const share = isRight ? Math.min(0.64, 1 - (NAME_WIDTH / 2 + 2) / Math.max(1, length(a, b))) : 0.4;
  const [x, y] = [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];
  const degrees = (Math.atan2(b[1] - a[1], b[0] - a[0]) * 180) / Math.PI;
  // On the left of the point the steeper line is the upper one.
  const isOver = isRight ? above : !above;
  return (
    <text
      className={`curves-said curves-quiet${live ? " curves-live" : ""}`}
      transform={`translate(${x.toFixed(2)} ${y.toFixed(2)}) rotate(${degrees.toFixed(2)})`}
      y={isOver ? -OFF : OFF + CAP}
      textAnchor="middle"
    >
      {children}
    </text>
  );
}

function lowerEnd(panel: Panel, line: Line): Place {
  return line.openVolts <= panel.x.to
    ? pointOf(panel, line.openVolts, 0)
    : pointOf(panel, panel.x.to, (line.openVolts - panel.x.to) / line.ohms);
}

/** Ticks across the ends of the swing, and its volts below its lower end, on the free side of the line. */
function SwingEnds({ panel, swing }: { panel: Panel; swing: NonNullable<StageAnswer["swing"]> }) {
  const ends = [swing.lowPlateVolts, swing.highPlateVolts].map((volts) => {
    const n = swing.plateVolts.indexOf(volts);
    return pointOf(panel, volts, swing.plateAmps[n] ?? 0);
  });
  const [low, high] = ends as [Place, Place];
  const length = Math.hypot(high[0] - low[0], high[1] - low[1]) || 1;
  const across: Place = [-(high[1] - low[1]) / length, (high[0] - low[0]) / length];
  return (
    <g>
      <path
        className="curves-swing"
        d={ends
          .map(([x, y]) =>
            pathOf([
              [x - 1.6 * across[0], y - 1.6 * across[1]],
              [x + 1.6 * across[0], y + 1.6 * across[1]],
            ]),
          )
          .join("")}
      />
      <text
        className="curves-said curves-swing-said"
        x={high[0] - 2}
        y={Math.min(high[1] + 5, panel.bottom - 1.5)}
        textAnchor="end"
      >
        {`${voltsWords(swing.inputVolts)} in: ${spanWords(swing.lowPlateVolts, swing.highPlateVolts)}`}
      </text>
    </g>
  );
}
