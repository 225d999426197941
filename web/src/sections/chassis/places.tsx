import type { Face } from "@platewright/design";
import type { PlateMap } from "@platewright/drawing";
import type { Place } from "@platewright/engine";
import { type KeyboardEvent, memo, type PointerEvent, useMemo, useRef } from "react";
import { PIXELS_PER_MILLIMETRE } from "../../parts/scene-view.tsx";
import type { HoleRow } from "./hole-rows.ts";
import { HoleRing } from "./hole-ring.tsx";
import type { PanelProps } from "./panel.ts";
import type { ItemFacts } from "./item-facts.ts";
import { boundsOn, holeAt, inReadingOrder, itemAt, type Pointable } from "./pointing.ts";
import { type SnapLine, snapLines, snapped } from "./snap.ts";
import type { Moving } from "./use-moving.ts";

/** A press that trembles is no drag. */
const DRAG_PIXELS = 4;
/** How near a line pulls, in pixels. */
const REACH_PIXELS = 6;
/** Round what is marked, millimetres of the sheet; names stand beyond it. */
const PAD = 0.3;
const TURN = 15;
const QUARTER = 90;

interface Dragged {
  readonly ids: readonly string[];
  readonly pointer: number;
  /** Where it was taken hold of, in the window. */
  readonly client: Place;
  readonly at: Place;
  readonly lines: readonly SnapLine[];
  moved: boolean;
}

export interface PlacesProps extends PanelProps {
  readonly items: readonly ItemFacts[];
  readonly holes: readonly HoleRow[];
  readonly plate: { readonly widthMillimetres: number; readonly depthMillimetres: number };
  readonly face: Face;
  readonly map: PlateMap;
  readonly stepMillimetres: number;
  /** Chosen besides the one that is chosen. */
  readonly also: readonly string[];
  readonly onAlso: (ids: readonly string[]) => void;
  readonly moving: Moving;
  readonly onLines: (lines: readonly SnapLine[]) => void;
  /** Enter on what is chosen: on to its values. */
  readonly onLeave: () => void;
  readonly onRemove: (id: string) => void;
}

/** Where things can be pointed at, moved and reached with Tab: in the order of reading, arrows move, R turns. */
export const Places = memo(function Places(props: PlacesProps) {
  const { items, holes, plate, face, map, stepMillimetres, also, moving, chosen, onChoose, onAlso, onLines } = props;
  const group = useRef<SVGGElement>(null);
  const dragged = useRef<Dragged>(undefined);
  const order = useMemo(() => inReadingOrder(items, face), [items, face]);
  const all = useMemo(() => order.map((facts): Pointable => ({ facts, bounds: boundsOn(face, facts) })), [order, face]);

  const placeOf = (event: PointerEvent): Place => {
    const svg = group.current?.ownerSVGElement;
    const box = svg?.getBoundingClientRect();
    if (svg === null || svg === undefined || box === undefined) return { x: 0, y: 0 };
    const { x: left, y: top } = svg.viewBox.baseVal;
    return map.toPlate([
      (event.clientX - box.left) / PIXELS_PER_MILLIMETRE + left,
      (event.clientY - box.top) / PIXELS_PER_MILLIMETRE + top,
    ]);
  };
  /** The way of the pointer on the plate; no box is asked for, so that nothing is laid out while it moves. */
  const wayOf = (event: PointerEvent, from: Dragged): Place => {
    const by = 1 / (PIXELS_PER_MILLIMETRE * map.scale);
    const right = face === "top" ? 1 : -1;
    return { x: right * (event.clientX - from.client.x) * by, y: (from.client.y - event.clientY) * by };
  };
  const slack = 2 / (PIXELS_PER_MILLIMETRE * map.scale);
  const together = (id: string) => (chosen?.item !== undefined && also.includes(id) ? [chosen.item, ...also] : [id]);

  const down = (event: PointerEvent<SVGGElement>) => {
    if (event.button !== 0) return;
    const at = placeOf(event);
    const item = itemAt(all, at, slack);
    const hole = holeAt(holes, at, slack);
    if (item === undefined) {
      moving.keep();
      onAlso([]);
      onChoose(hole === undefined ? undefined : { hole: hole.id });
      return;
    }
    const button = group.current?.querySelector<SVGGElement>(`[data-item="${CSS.escape(item.id)}"]`);
    event.preventDefault();
    if (event.shiftKey && chosen?.item !== undefined && chosen.item !== item.id) {
      onAlso(also.includes(item.id) ? also.filter((id) => id !== item.id) : [...also, item.id]);
      return;
    }
    const ids = together(item.id);
    button?.focus({ preventScroll: true });
    if (ids.length === 1) {
      if (also.length > 0) onAlso([]);
      onChoose({ item: item.id, ...(hole?.item === item.id ? { hole: hole.id } : {}) });
    }
    event.currentTarget.setPointerCapture(event.pointerId);
    const lead = items.find(({ id }) => id === ids[0]) ?? item;
    dragged.current = {
      ids,
      pointer: event.pointerId,
      client: { x: event.clientX, y: event.clientY },
      at: lead,
      lines: snapLines(plate, items, new Set(ids)),
      moved: false,
    };
  };
  const move = (event: PointerEvent<SVGGElement>) => {
    const drag = dragged.current;
    if (drag === undefined || drag.pointer !== event.pointerId) return;
    const { x: dx, y: dy } = wayOf(event, drag);
    const pixels = Math.hypot(dx, dy) * map.scale * PIXELS_PER_MILLIMETRE;
    if (!drag.moved && pixels < DRAG_PIXELS) return;
    drag.moved = true;
    const rest = snapped(
      { x: drag.at.x + dx, y: drag.at.y + dy },
      event.altKey
        ? { stepMillimetres: 0.1, reachMillimetres: 0, lines: [] }
        : { stepMillimetres, reachMillimetres: REACH_PIXELS / (PIXELS_PER_MILLIMETRE * map.scale), lines: drag.lines },
    );
    onLines(rest.lines);
    const [only] = drag.ids;
    if (drag.ids.length === 1 && only !== undefined) moving.to(only, rest);
    else moving.by(drag.ids, rest.x - drag.at.x, rest.y - drag.at.y);
  };
  const end = (keep: boolean) => {
    const drag = dragged.current;
    dragged.current = undefined;
    onLines([]);
    if (drag?.moved !== true) return;
    if (keep) moving.keep();
    else moving.drop();
  };

  const key = (event: KeyboardEvent<SVGGElement>, id: string) => {
    const command = event.ctrlKey || event.metaKey;
    if (command) {
      // What the keys moved is a step before it is undone.
      if (event.key.toLowerCase() === "z") moving.keep();
      return;
    }
    const way = WAYS[event.key];
    if (way !== undefined) {
      event.preventDefault();
      const by = stepMillimetres * (event.shiftKey ? 10 : 1);
      const right = face === "top" ? 1 : -1;
      moving.nudge(together(id), right * way[0] * by, way[1] * by);
      return;
    }
    switch (event.key) {
      case "r":
      case "R":
        moving.turn(id, event.shiftKey ? QUARTER : TURN);
        return;
      case "Enter":
        event.preventDefault();
        moving.keep();
        props.onLeave();
        return;
      case "Delete":
        moving.keep();
        props.onRemove(id);
        return;
      case "Escape":
        if (dragged.current !== undefined) end(false);
        else if (moving.isInHand()) moving.drop();
        else {
          onAlso([]);
          onChoose(undefined);
        }
    }
  };

  return (
    <g
      ref={group}
      onPointerDown={down}
      onPointerMove={move}
      onPointerUp={() => end(true)}
      onPointerCancel={() => end(false)}
      onLostPointerCapture={() => end(true)}
    >
      <rect className="chassis-ground" x={-2} y={-2} width={map.width + 4} height={map.height + 4} />
      {holes.flatMap((row) => (row.id === chosen?.hole ? [<HoleRing key={row.id} row={row} map={map} />] : []))}
      {all.map(({ facts, bounds }) => {
        const isChosen = facts.id === chosen?.item;
        const [x1, y1] = map.toSheet({ x: bounds.left, y: bounds.rear });
        const [x2, y2] = map.toSheet({ x: bounds.right, y: bounds.front });
        return (
          <g
            key={facts.id}
            className={`chassis-place${isChosen || also.includes(facts.id) ? " chassis-chosen" : ""}`}
            data-item={facts.id}
            role="button"
            aria-pressed={isChosen || also.includes(facts.id)}
            aria-label={wordsOf(facts)}
            tabIndex={0}
            onFocus={() => {
              if (chosen?.item !== facts.id && !also.includes(facts.id)) onChoose({ item: facts.id });
            }}
            onBlur={() => {
              if (dragged.current === undefined) moving.keep();
            }}
            onKeyDown={(event) => key(event, facts.id)}
          >
            <rect
              x={Math.min(x1, x2) - PAD}
              y={y1 - PAD}
              width={Math.abs(x2 - x1) + 2 * PAD}
              height={y2 - y1 + 2 * PAD}
            />
          </g>
        );
      })}
    </g>
  );
});

const wordsOf = ({ name, type, label, x, y, degrees }: ItemFacts): string =>
  [name, type ?? "", label, `x ${x}, y ${y} mm`, degrees === 0 ? "" : `turned ${degrees}°`].filter(Boolean).join(", ");

const WAYS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};
