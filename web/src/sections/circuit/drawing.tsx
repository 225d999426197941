import {
  type Item,
  ladderWords,
  type PartPlace,
  type Said,
  schematicLadder,
  type SchematicFacts,
  type SchematicLayout,
  schematicWords,
} from "@platewright/drawing";
import { type KeyboardEvent, memo, type PointerEvent, useMemo, useRef } from "react";
import { PIXELS_PER_MILLIMETRE, SceneItem } from "../../parts/scene-view.tsx";
import { type Way, beside } from "./beside.ts";

/** Paper around the drawing, millimetres. */
const MARGIN = 5;
const LADDER_GAP = 5;

/** What lies under the pointer or the keyboard. */
export type Pointed = { readonly part: string } | { readonly net: string };

export const sheetSize = (layout: SchematicLayout) => {
  const ladder = layout.stations.length === 0 ? 0 : LADDER_HEIGHT;
  return {
    width: (layout.width + 2 * MARGIN) * PIXELS_PER_MILLIMETRE,
    height: (layout.height + ladder + 2 * MARGIN) * PIXELS_PER_MILLIMETRE,
  };
};
const LADDER_HEIGHT = 21;
export const SHEET_MARGIN = MARGIN;

/** The schematic with its figures: wires and symbols are drawn once for a structure, words anew with each edit. */
export function Drawing({
  layout,
  facts,
  levels,
  factor,
  chosen,
  words,
  onChoose,
  onPoint,
  onLeave,
  onKey,
}: {
  layout: SchematicLayout;
  facts: SchematicFacts;
  levels: Readonly<Record<string, Said>> | undefined;
  factor: number;
  chosen: string | undefined;
  /** What a part is called, for those who hear it. */
  words: (id: string) => string;
  onChoose: (id: string | undefined) => void;
  onPoint: (pointed: Pointed | undefined) => void;
  /** Enter on a chosen part: on to its values. */
  onLeave: () => void;
  /** Any other key on a part. */
  onKey: (key: string) => void;
}) {
  const ladder = useMemo(() => schematicLadder(layout.stations, layout.width), [layout]);
  const said = useMemo(() => schematicWords(layout, facts), [layout, facts]);
  const size = sheetSize(layout);
  const held = layout.parts.filter(({ id }) => facts.values[id]?.live === true || facts.settings[id]?.live === true);
  return (
    <svg
      className="scene circuit-drawing"
      role="group"
      aria-label="Schematic"
      viewBox={`${-MARGIN} ${-MARGIN} ${size.width / PIXELS_PER_MILLIMETRE} ${size.height / PIXELS_PER_MILLIMETRE}`}
      width={size.width * factor}
      height={size.height * factor}
    >
      {held.map(({ id, box }) => (
        <rect
          key={id}
          className="circuit-held"
          x={box.left - 1.5}
          y={box.top - 1.5}
          width={box.right - box.left + 3}
          height={box.bottom - box.top + 3}
        />
      ))}
      <Fixed items={layout.items} live={held.map(({ id }) => id).join(" ")} />
      {said.map((item, n) => (
        <SceneItem key={n} item={item} />
      ))}
      {ladder !== undefined && (
        <g transform={`translate(0 ${layout.height + LADDER_GAP})`}>
          <Fixed items={ladder.items} live="" />
          {levels !== undefined && ladderWords(ladder, levels).map((item, n) => <SceneItem key={n} item={item} />)}
        </g>
      )}
      <Places
        layout={layout}
        chosen={chosen}
        words={words}
        onChoose={onChoose}
        onPoint={onPoint}
        onLeave={onLeave}
        onKey={onKey}
      />
    </svg>
  );
}

/** Wires and symbols; those of parts in hand in the colour of what is in hand. */
const Fixed = memo(function Fixed({ items, live }: { items: readonly Item[]; live: string }) {
  const ids = new Set(live.split(" ").filter((id) => id !== ""));
  return items.map((item, n) =>
    item.kind === "group" && item.ids?.some((id) => ids.has(id)) === true ? (
      <g key={n} className="chosen">
        <SceneItem item={item} />
      </g>
    ) : (
      <SceneItem key={n} item={item} />
    ),
  );
});

/**
 * Where parts and wires can be pointed at. One part is in the way of Tab, arrows go along the signal (left and right) and to
 * the nearest above or below.
 */
const Places = memo(function Places({
  layout,
  chosen,
  words,
  onChoose,
  onPoint,
  onLeave,
  onKey,
}: {
  layout: SchematicLayout;
  chosen: string | undefined;
  words: (id: string) => string;
  onChoose: (id: string | undefined) => void;
  onPoint: (pointed: Pointed | undefined) => void;
  onLeave: () => void;
  /** Any other key on a part. */
  onKey: (key: string) => void;
}) {
  const group = useRef<SVGGElement>(null);
  const first = layout.parts.some(({ id }) => id === chosen) ? chosen : layout.parts[0]?.id;
  const key = (event: KeyboardEvent<SVGGElement>, part: PartPlace) => {
    const way = WAYS[event.key];
    if (way !== undefined && !event.ctrlKey && !event.shiftKey && !event.altKey && !event.metaKey) {
      event.preventDefault();
      const next = beside(layout.parts, part.id, way);
      if (next === undefined) return;
      onChoose(next);
      group.current?.querySelector<SVGGElement>(`[data-part="${CSS.escape(next)}"]`)?.focus();
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      if (chosen === part.id && event.key === "Enter") onLeave();
      else onChoose(part.id);
    } else onKey(event.key);
  };
  const under = (event: PointerEvent<SVGGElement>) => {
    const hit = (event.target as Element).closest("[data-part],[data-net]");
    const [part, net] = [hit?.getAttribute("data-part"), hit?.getAttribute("data-net")];
    if (typeof part === "string") onPoint({ part });
    else if (typeof net === "string") onPoint({ net });
  };
  return (
    <g ref={group} onPointerMove={under} onPointerLeave={() => onPoint(undefined)}>
      {layout.items.map((item, n) =>
        item.kind === "line" && item.ids?.[0] !== undefined ? (
          <line
            key={n}
            className="circuit-wire"
            data-net={item.ids[0]}
            x1={item.from[0]}
            y1={item.from[1]}
            x2={item.to[0]}
            y2={item.to[1]}
          />
        ) : null,
      )}
      {layout.parts.map((part) => (
        <g
          key={part.id}
          className={`circuit-place${part.id === chosen ? " circuit-chosen" : ""}`}
          data-part={part.id}
          role="button"
          aria-pressed={part.id === chosen}
          aria-label={words(part.id)}
          tabIndex={part.id === first ? 0 : -1}
          onClick={() => onChoose(part.id)}
          onFocus={() => onPoint({ part: part.id })}
          onBlur={() => onPoint(undefined)}
          onKeyDown={(event) => key(event, part)}
        >
          <rect
            x={part.box.left - 1}
            y={part.box.top - 1}
            width={part.box.right - part.box.left + 2}
            height={part.box.bottom - part.box.top + 2}
          />
        </g>
      ))}
    </g>
  );
});

const WAYS: Readonly<Record<string, Way>> = {
  ArrowLeft: "before",
  ArrowRight: "after",
  ArrowUp: "above",
  ArrowDown: "below",
};
