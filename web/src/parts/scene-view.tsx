import type { Dash, Item, Point, Role, Scene } from "@platewright/drawing";
import { type MouseEvent, memo, type ReactNode } from "react";

/** Millimetres of a drawing to pixels of the page, so that 13 px text is 13 px: drawings are made at the width they get. */
export const PIXELS_PER_MILLIMETRE = 96 / 25.4;

/**
 * A scene drawn into the page at true size. Colours are classes of its roles, so that day, night and print restyle it
 * without drawing it again. `onPick` hears the document ids of what is pressed; `chosen` marks items that show those ids.
 */
export const SceneView = memo(function SceneView({
  scene,
  onPick,
  onPoint,
  chosen,
  children,
}: {
  scene: Scene;
  onPick?: (ids: readonly string[]) => void;
  /** The ids under the pointer; empty when it leaves. */
  onPoint?: (ids: readonly string[]) => void;
  chosen?: ReadonlySet<string>;
  /** Drawn on top, in millimetres of the sheet: handles, cursors. */
  children?: ReactNode;
}) {
  const pick = (event: MouseEvent<SVGSVGElement>) => onPick?.(idsUnder(event));
  return (
    <svg
      className={`scene${onPick === undefined ? "" : " scene-pickable"}`}
      // What can be worked on inside must not be hidden behind one picture.
      role={children === undefined ? "img" : "group"}
      aria-label={`${scene.title}. ${scene.description}`}
      viewBox={`0 0 ${scene.width} ${scene.height}`}
      width={scene.width * PIXELS_PER_MILLIMETRE}
      height={scene.height * PIXELS_PER_MILLIMETRE}
      {...(onPick === undefined ? {} : { onClick: pick })}
      {...(onPoint === undefined
        ? {}
        : { onPointerMove: (event) => onPoint(idsUnder(event)), onPointerLeave: () => onPoint([]) })}
    >
      {scene.items.map((item, n) => (
        <ItemView key={n} item={item} chosen={chosen} />
      ))}
      {children}
    </svg>
  );
});

function idsUnder(event: MouseEvent<SVGSVGElement>): readonly string[] {
  const found = (event.target as Element).closest("[data-ids]");
  return found?.getAttribute("data-ids")?.split(" ") ?? [];
}

const GAPS: Readonly<Record<Exclude<Dash, "solid">, readonly number[]>> = { dash: [5, 3], dot: [1, 2.5] };

function ItemView({ item, chosen }: { item: Item; chosen: ReadonlySet<string> | undefined }): ReactNode {
  const ids = item.ids === undefined || item.ids.length === 0 ? undefined : item.ids.join(" ");
  const marked = chosen !== undefined && item.ids?.some((id) => chosen.has(id)) === true;
  switch (item.kind) {
    case "group":
      return (
        <g
          transform={`translate(${item.at[0]} ${item.at[1]})`}
          data-ids={ids}
          className={marked ? "chosen" : undefined}
        >
          {item.items.map((each, n) => (
            <ItemView key={n} item={each} chosen={chosen} />
          ))}
        </g>
      );
    case "text": {
      const role = item.role ?? "ink";
      const halo = item.halo === undefined ? "" : ` halo-${item.halo}`;
      return (
        <text
          x={item.at[0]}
          y={item.at[1]}
          fontSize={item.size}
          textAnchor={item.anchor ?? "start"}
          className={`text-${role}${item.bold === true ? " bold" : ""}${halo}${marked ? " chosen" : ""}`}
          strokeWidth={item.halo === undefined ? undefined : 0.24 * item.size}
          // Blanks at the ends or in a row are part of the text.
          xmlSpace={/^\s|\s$|\s\s/.test(item.text) ? "preserve" : undefined}
          data-ids={ids}
        >
          {item.text}
        </text>
      );
    }
    default: {
      const look = {
        className: `${strokeClass(item.weight, item.role)}${"fill" in item && item.fill !== undefined ? ` fill-${item.fill}` : " fill-none"}${marked ? " chosen" : ""}`,
        strokeWidth: item.weight > 0 ? item.weight : undefined,
        strokeDasharray:
          item.dash === undefined || item.dash === "solid"
            ? undefined
            : GAPS[item.dash].map((gap) => gap * item.weight).join(" "),
        "data-ids": ids,
      };
      switch (item.kind) {
        case "line":
          return <line x1={item.from[0]} y1={item.from[1]} x2={item.to[0]} y2={item.to[1]} {...look} />;
        case "polyline":
          return <polyline points={pointsOf(item.points)} strokeLinejoin="round" {...look} />;
        case "path":
          return <polygon points={pointsOf(item.points)} {...look} />;
        case "rect":
          return <rect x={item.at[0]} y={item.at[1]} width={item.width} height={item.height} {...look} />;
        case "circle":
          return <circle cx={item.at[0]} cy={item.at[1]} r={item.radius} {...look} />;
      }
    }
  }
}

/** One item of a drawing; the same item is not drawn again. */
export const SceneItem = memo(function SceneItem({ item }: { item: Item }) {
  return <ItemView item={item} chosen={undefined} />;
});

const strokeClass = (weight: number, role: Role | undefined): string =>
  weight > 0 ? `stroke-${role ?? "ink"}` : "stroke-none";

const pointsOf = (points: readonly Point[]): string => points.map(([x, y]) => `${round(x)},${round(y)}`).join(" ");
const round = (value: number): number => Math.round(value * 1000) / 1000;
