import { plateCurvesFigure, pointOf, valueAt } from "@platewright/drawing";
import { printPercent, printValue } from "@platewright/engine";
import { type KeyboardEvent, type PointerEvent, useCallback, useMemo, useRef, useState } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { useSize } from "../../parts/use-size.ts";
import { partEdit, partOf, twinsOf } from "../../state/edits.ts";
import { useAround, useHands } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer, useDesk } from "../../worker/use-answer.ts";
import type { Picture } from "./asks.ts";
import { Overlay } from "./overlay.tsx";

export type StageAnswer = ValueOf<"curvesStage">;

/** Height of the picture by its width: wide screens get a taller one, within what a screen shows. */
const heightFor = (millimetres: number): number => Math.round(Math.min(225, Math.max(148, 0.55 * millimetres)));
const LEAST_WIDTH = 100;
/** Share of the current that an arrow key asks for. */
const ARROW = 1.06;
const FINE_ARROW = 1.01;

/**
 * The plane of plate volts and amperes. What depends on the tube is drawn once; what the circuit makes of it lies on top
 * and moves with every edit. The operating point and the load line's end can be dragged: the part that sets them follows.
 */
export function PlaneView({ stage, picture, held }: { stage: StageAnswer; picture: Picture; held: boolean }) {
  const [box, { width }] = useSize<HTMLDivElement>();
  const [shown, setShown] = useState<string>();
  const { value: family, failure } = useAnswer("curvesFamily", { triode: stage.id, picture });
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  const scene = useMemo(() => {
    if (family === undefined || millimetres < LEAST_WIDTH) return undefined;
    return plateCurvesFigure({
      title: `Plate curves of ${family.type}`,
      heading: false,
      width: millimetres,
      height: heightFor(millimetres),
      ...picture,
      curves: family.curves,
      ...(family.provenCurves.length === 0 ? {} : { provenCurves: family.provenCurves }),
      ...(family.dissipation === null ? {} : { dissipation: family.dissipation }),
      ...(family.plateVoltsLimit === null ? {} : { plateVoltsLimit: { volts: family.plateVoltsLimit } }),
      ...(family.region === null ? {} : { gridCurrent: family.region }),
      published: family.points.map((point) => ({ ...point, ids: [point.id] })),
    });
  }, [family, millimetres, picture]);
  const panel = scene?.panels?.[0];
  const drag = useFollow(stage);
  const point = family?.points.find((one) => one.id === shown);

  const placeAt = (event: PointerEvent<HTMLDivElement>) => {
    const svg = event.currentTarget.querySelector("svg");
    if (svg === null || panel === undefined) return undefined;
    const frame = svg.getBoundingClientRect();
    return [
      (event.clientX - frame.left) / PIXELS_PER_MILLIMETRE,
      (event.clientY - frame.top) / PIXELS_PER_MILLIMETRE,
    ] as const;
  };
  const pulled = useRef<"point" | "load">(undefined);

  return (
    <div
      ref={box}
      className="curves-plane"
      onPointerDown={(event) => {
        const place = placeAt(event);
        if (place === undefined || panel === undefined) return;
        const near = ([x, y]: readonly [number, number]) => Math.hypot(place[0] - x, place[1] - y) < 4;
        const handle = pointOf(panel, stage.point.plateVolts, stage.point.plateAmps);
        const end = pointOf(panel, 0, stage.dc.shortAmps);
        pulled.current = near(handle) ? "point" : near(endInside(end, panel)) ? "load" : undefined;
        if (pulled.current !== undefined) event.currentTarget.setPointerCapture(event.pointerId);
      }}
      onPointerMove={(event) => {
        const place = placeAt(event);
        if (pulled.current === undefined || place === undefined || panel === undefined) return;
        const at = valueAt(panel, place);
        if (pulled.current === "point") drag.toCurrent(Math.max(1e-5, at.y));
        else drag.toLoad(stage.dc.openVolts / Math.max(1e-5, at.y));
      }}
      onPointerUp={() => {
        if (pulled.current !== undefined) drag.keep();
        pulled.current = undefined;
      }}
      onPointerCancel={() => {
        pulled.current = undefined;
        drag.drop();
      }}
    >
      {failure !== undefined && <p role="status">{failure}</p>}
      {scene !== undefined && panel !== undefined && (
        <SceneView
          scene={scene}
          onPick={(ids) => setShown(ids[0])}
          chosen={new Set(shown === undefined ? [] : [shown])}
        >
          <Overlay
            panel={panel}
            stage={stage}
            held={held}
            onPointKey={(event) => moveByKey(event, stage, drag)}
            onLoadKey={(event) => loadByKey(event, stage, drag)}
            onLeave={drag.keep}
          />
        </SceneView>
      )}
      {point !== undefined && (
        <div className="curves-source" role="status">
          <p>
            <b>
              {printValue(point.plateVolts, "V")}, {printValue(point.gridVolts, "V")}:{" "}
              {printValue(point.plateAmps, "A")}
            </b>{" "}
            {point.status}, {point.title}
          </p>
          <p className="muted">
            The law here gives {printValue(point.lawAmps, "A")}, {printPercent(Math.abs(point.lawHigherBy))}{" "}
            {point.lawHigherBy >= 0 ? "more" : "less"}.{" "}
            <button type="button" className="button quiet" onClick={() => setShown(undefined)}>
              Close
            </button>
          </p>
        </div>
      )}
      {family !== undefined && family.points.length > 0 && (
        <p className="curves-note no-print">
          Press a maker&rsquo;s point for its source
          {family.outside > 0 ? `; ${family.outside} more lie outside this picture` : ""}.
        </p>
      )}
      {family?.points.length === 0 && (
        <p className="curves-note">No maker&rsquo;s point of this type lies in this picture.</p>
      )}
    </div>
  );
}

type Panel = Parameters<typeof pointOf>[0];

/** The load line's handle stays in the picture: where the line enters it. */
const endInside = ([x, y]: readonly [number, number], panel: Panel): readonly [number, number] =>
  y < panel.top ? [x, panel.top] : [x, y];

interface Following {
  readonly toCurrent: (plateAmps: number, fine?: boolean) => void;
  readonly toLoad: (loadOhms: number, fine?: boolean) => void;
  readonly keep: () => void;
  readonly drop: () => void;
}

/** Asks which value brings the section there and holds it; the newest question wins. */
function useFollow({ id }: StageAnswer): Following {
  const desk = useDesk();
  const hands = useHands();
  const { session } = useAround();
  const asked = useRef(0);
  const follow = useCallback(
    (wish: { readonly plateAmps?: number; readonly loadOhms?: number }, fine: boolean) => {
      const mine = ++asked.current;
      void desk
        .once("curvesFollow", { triode: id, ...wish, series: fine ? "E96" : "E24" })
        .then(({ value, failure }) => {
          if (mine !== asked.current) return;
          if (failure !== undefined) hands.say({ level: "watch", sentence: failure });
          if (value === undefined) return;
          const kept = session.getState().book.value;
          const part = partOf(kept, value.instance, value.part);
          if (part === undefined || ("value" in part && part.value === value.value)) return;
          const edit = partEdit(kept, twinsOf(kept, value.instance), value.part, { value: value.value });
          hands.hold(edit.title, edit.changes);
        });
    },
    [desk, hands, session, id],
  );
  return useMemo(
    () => ({
      toCurrent: (plateAmps, fine = false) => follow({ plateAmps: Number(plateAmps.toPrecision(4)) }, fine),
      toLoad: (loadOhms, fine = false) => follow({ loadOhms: Number(loadOhms.toPrecision(4)) }, fine),
      keep: () => {
        asked.current++;
        hands.keepHand();
      },
      drop: () => {
        asked.current++;
        hands.drop();
      },
    }),
    [follow, hands],
  );
}

function moveByKey(event: KeyboardEvent, stage: StageAnswer, { toCurrent, keep, drop }: Following): void {
  const step = event.shiftKey ? FINE_ARROW : ARROW;
  if (event.key === "ArrowUp" || event.key === "ArrowRight") toCurrent(stage.point.plateAmps * step, event.shiftKey);
  else if (event.key === "ArrowDown" || event.key === "ArrowLeft")
    toCurrent(stage.point.plateAmps / step, event.shiftKey);
  else if (event.key === "Enter") keep();
  else if (event.key === "Escape") drop();
  else return;
  event.preventDefault();
  event.stopPropagation();
}

function loadByKey(event: KeyboardEvent, stage: StageAnswer, { toLoad, keep, drop }: Following): void {
  const step = event.shiftKey ? FINE_ARROW : ARROW * ARROW;
  if (event.key === "ArrowUp" || event.key === "ArrowRight") toLoad(stage.dc.ohms / step, event.shiftKey);
  else if (event.key === "ArrowDown" || event.key === "ArrowLeft") toLoad(stage.dc.ohms * step, event.shiftKey);
  else if (event.key === "Enter") keep();
  else if (event.key === "Escape") drop();
  else return;
  event.preventDefault();
  event.stopPropagation();
}
