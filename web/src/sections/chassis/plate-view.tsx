import { type Item, plateMap } from "@platewright/drawing";
import { memo, type RefObject, useCallback, useLayoutEffect, useMemo, useRef, useState } from "react";
import { PIXELS_PER_MILLIMETRE, SceneItem } from "../../parts/scene-view.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { MovedGaps, SnapLines } from "./guides.tsx";
import type { HoleRow } from "./hole-rows.ts";
import type { PanelProps } from "./panel.ts";
import type { PlateGroup } from "./plate-groups.ts";
import { Places } from "./places.tsx";
import type { SnapLine } from "./snap.ts";
import type { Shown } from "./tray.tsx";
import { useShifts } from "./use-shifts.ts";
import type { Moving } from "./use-moving.ts";

/** Widths are asked in steps: a window being dragged wider is not a new drawing at each pixel. */
const STEP_MILLIMETRES = 2;
const NONE = {};
const NO_LINES: readonly SnapLine[] = [];
const NO_HOLES: readonly HoleRow[] = [];

export interface PlateViewProps extends PanelProps {
  readonly face: "top" | "under";
  readonly wires: boolean;
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

/**
 * The plate from above or from below. It stays as it is kept while something is in hand; over it lies what is another then,
 * which follows the hand at once and is drawn anew as fast as the worker answers.
 */
export function PlateView({ face, wires, zoom, shownRef, ...props }: PlateViewProps) {
  const [box, size] = useSize<HTMLDivElement>();
  const across = (size.width / PIXELS_PER_MILLIMETRE) * zoom;
  const width = size.width === 0 ? 0 : Math.floor(across / STEP_MILLIMETRES) * STEP_MILLIMETRES;
  const params = { face, width, wires };
  const { value, failure, fresh } = useAnswer("chassisPlate", params);
  const { value: news } = useAnswer("chassisMoved", params);
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
  // When a step is kept, what lies over the drawing goes with the drawing that has it.
  const [over, setOver] = useState(news);
  if (fresh && news !== over) setOver(news);
  const inHand = useSession((session) => session.hand !== undefined && session.hand.preview !== true);
  const document = useDocument();
  const drawing = useRef<SVGSVGElement>(null);
  useLayoutEffect(() => {
    shownRef.current = map === undefined || drawing.current === null ? undefined : { svg: drawing.current, map };
  });
  const shifts = useShifts(document, value?.places, over?.places);
  const hidden = useMemo(() => new Set([...(over?.gone ?? []), ...(over?.groups ?? []).map(({ key }) => key)]), [over]);
  // Before the worker has answered, what is moved is taken from where it is kept.
  const early = useMemo(
    () =>
      shifts.size === 0 ? [] : (value?.groups ?? []).filter(({ owner, key }) => !hidden.has(key) && shifts.has(owner)),
    [value, hidden, shifts],
  );
  const underneath = [...hidden, ...early.map(({ key }) => key)].sort().join("\n");
  const sheet =
    value === undefined
      ? undefined
      : {
          viewBox: `${value.left} ${value.top} ${value.width} ${value.height}`,
          width: value.width * PIXELS_PER_MILLIMETRE,
          height: value.height * PIXELS_PER_MILLIMETRE,
        };
  const moved = (group: PlateGroup) => {
    const shift = shifts.get(group.owner);
    const scale = value?.scale ?? 0;
    return (
      <Group
        key={group.key}
        text={group.text}
        dx={shift === undefined ? 0 : (value?.face === "top" ? 1 : -1) * shift.x * scale}
        dy={shift === undefined ? 0 : -shift.y * scale}
      />
    );
  };
  return (
    <div ref={box} className="chassis-window">
      {failure !== undefined && <p role="status">{failure}</p>}
      {value !== undefined && map !== undefined && sheet !== undefined && width > 0 && (
        <div className={`chassis-stack${inHand ? " chassis-moving" : ""}`}>
          <svg
            ref={drawing}
            className="scene chassis-drawing"
            role="group"
            aria-label={value.face === "top" ? "The plate from above" : "The plate from below, mirrored"}
            {...sheet}
          >
            <Base groups={value.groups} hidden={underneath} />
            {facts !== undefined && (
              <Places
                {...props}
                face={value.face}
                map={map}
                plate={value.plate}
                items={facts.items}
                holes={holes ?? NO_HOLES}
                onLines={seen}
              />
            )}
          </svg>
          <svg className="scene chassis-over" aria-hidden="true" {...sheet}>
            {early.map(moved)}
            {over?.groups.map(moved)}
            <SnapLines lines={lines} map={map} />
            <MovedGaps document={document} facts={facts?.items} plate={value.plate} face={value.face} map={map} />
          </svg>
        </div>
      )}
    </div>
  );
}

/** The drawing as it is kept, without what lies over it; `hidden` names groups, a line each. */
const Base = memo(function Base({ groups, hidden }: { groups: readonly PlateGroup[]; hidden: string }) {
  const keys = new Set(hidden.split("\n"));
  return groups.map(({ key, text }) => <Group key={key} text={text} dx={0} dy={0} hidden={keys.has(key)} />);
});

/** Read and drawn again only when its text is another. */
const Group = memo(function Group({
  text,
  dx,
  dy,
  hidden = false,
}: {
  text: string;
  dx: number;
  dy: number;
  hidden?: boolean;
}) {
  const drawn = useMemo(
    () => (JSON.parse(text) as readonly Item[]).map((item, n) => <SceneItem key={n} item={item} />),
    [text],
  );
  return (
    <g
      transform={dx === 0 && dy === 0 ? undefined : `translate(${dx} ${dy})`}
      visibility={hidden ? "hidden" : undefined}
    >
      {drawn}
    </g>
  );
});
