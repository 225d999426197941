import { type Item, plateMap } from "@platewright/drawing";
import { memo, type RefObject, useCallback, useLayoutEffect, useMemo, useRef, useState } from "react";
import { PIXELS_PER_MILLIMETRE, SceneItem } from "../../parts/scene-view.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { Gaps, SnapLines } from "./guides.tsx";
import { movedItems } from "./layout-edits.ts";
import type { PanelProps } from "./panel.ts";
import { Places } from "./places.tsx";
import type { SnapLine } from "./snap.ts";
import type { Shown } from "./tray.tsx";
import type { Moving } from "./use-moving.ts";

/** Widths are asked in steps: a window being dragged wider is not a new drawing at each pixel. */
const STEP_MILLIMETRES = 2;
const NONE = {};
const NO_LINES: readonly SnapLine[] = [];

export interface PlateViewProps extends PanelProps {
  readonly face: "top" | "under";
  /** 1: as wide as the sheet. */
  readonly zoom: number;
  readonly stepMillimetres: number;
  readonly also: readonly string[];
  readonly onAlso: (ids: readonly string[]) => void;
  readonly moving: Moving;
  /** Where the drawing is, for what is dragged onto it. */
  readonly shownRef: RefObject<Shown | undefined>;
  readonly onLeave: () => void;
  readonly onRemove: (id: string) => void;
}

/** The plate from above or from below. What is moved follows the hand at once; the worker draws it anew as fast as it can. */
export function PlateView({ face, zoom, shownRef, ...props }: PlateViewProps) {
  const [box, size] = useSize<HTMLDivElement>();
  const across = (size.width / PIXELS_PER_MILLIMETRE) * zoom;
  const width = size.width === 0 ? 0 : Math.floor(across / STEP_MILLIMETRES) * STEP_MILLIMETRES;
  const { value, failure } = useAnswer("chassisPlate", { face, width });
  const { value: facts } = useAnswer("chassisItems", NONE);
  const { value: holes } = useAnswer("chassisHoles", NONE);
  const [lines, setLines] = useState(NO_LINES);
  const seen = useCallback(
    (next: readonly SnapLine[]) => setLines((was) => (was.length === 0 && next.length === 0 ? was : next)),
    [],
  );
  const map = useMemo(
    () => (value === undefined ? undefined : plateMap(value.plate, value.face, value.scale)),
    [value],
  );
  const shifts = useShifts(value?.places);
  const kept = useSession((session) => session.book.value);
  const inHand = useSession((session) => session.hand !== undefined && session.hand.preview !== true);
  const document = useDocument();
  const moved = useMemo(
    () =>
      inHand ? [...movedItems(kept, document)].filter((id) => kept.chassis?.items.some((one) => one.id === id)) : [],
    [inHand, kept, document],
  );
  const [lead] = moved;
  const leading = moved.length === 1 ? facts?.items.find(({ id }) => id === lead) : undefined;
  const at = document.chassis?.items.find(({ id }) => id === lead);
  const drawing = useRef<SVGSVGElement>(null);
  useLayoutEffect(() => {
    shownRef.current = map === undefined || drawing.current === null ? undefined : { svg: drawing.current, map };
  });
  return (
    <div ref={box} className="chassis-window">
      {failure !== undefined && <p role="status">{failure}</p>}
      {value !== undefined && map !== undefined && width > 0 && (
        <svg
          ref={drawing}
          className={`scene chassis-drawing${inHand ? " chassis-moving" : ""}`}
          role="group"
          aria-label={value.face === "top" ? "The plate from above" : "The plate from below, mirrored"}
          viewBox={`${value.left} ${value.top} ${value.width} ${value.height}`}
          width={value.width * PIXELS_PER_MILLIMETRE}
          height={value.height * PIXELS_PER_MILLIMETRE}
        >
          {value.groups.map(({ owner, text }, n) => {
            const shift = shifts.get(owner);
            return (
              <Group
                key={n}
                text={text}
                dx={shift === undefined ? 0 : (value.face === "top" ? 1 : -1) * shift.x * value.scale}
                dy={shift === undefined ? 0 : -shift.y * value.scale}
              />
            );
          })}
          <SnapLines lines={lines} map={map} />
          {leading !== undefined && at !== undefined && facts !== undefined && (
            <Gaps moved={leading} at={at} items={facts.items} plate={value.plate} face={value.face} map={map} />
          )}
          {facts !== undefined && (
            <Places
              {...props}
              face={value.face}
              map={map}
              plate={value.plate}
              items={facts.items}
              holes={holes ?? []}
              onLines={seen}
            />
          )}
        </svg>
      )}
    </div>
  );
}

/** How far each item stands from where it is drawn. */
function useShifts(
  drawn: readonly { readonly id: string; readonly x: number; readonly y: number }[] | undefined,
): ReadonlyMap<string, { readonly x: number; readonly y: number }> {
  const document = useDocument();
  return useMemo(() => {
    const places = new Map(drawn?.map((one) => [one.id, one]));
    return new Map(
      (document.chassis?.items ?? []).flatMap(({ id, x, y }) => {
        const was = places.get(id);
        return was === undefined || (was.x === x && was.y === y) ? [] : [[id, { x: x - was.x, y: y - was.y }] as const];
      }),
    );
  }, [document, drawn]);
}

/** Read and drawn again only when its text is another. */
const Group = memo(function Group({ text, dx, dy }: { text: string; dx: number; dy: number }) {
  const drawn = useMemo(
    () => (JSON.parse(text) as readonly Item[]).map((item, n) => <SceneItem key={n} item={item} />),
    [text],
  );
  return <g transform={dx === 0 && dy === 0 ? undefined : `translate(${dx} ${dy})`}>{drawn}</g>;
});
