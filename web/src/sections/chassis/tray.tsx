import type { PlateMap } from "@platewright/drawing";
import { type PointerEvent, type RefObject, useRef } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { PIXELS_PER_MILLIMETRE } from "../../parts/scene-view.tsx";
import { useAround } from "../../state/use-session.ts";
import { useAnswer, useDesk } from "../../worker/use-answer.ts";
import { addItem, freshName } from "./metal-edits.ts";
import type { PanelProps } from "./panel.ts";
import { onGrid } from "./snap.ts";

const NONE = {};
const DRAG_PIXELS = 4;

/** The drawing that a part can be dragged onto. */
export interface Shown {
  readonly svg: SVGSVGElement;
  readonly map: PlateMap;
}

interface Waiting {
  readonly id: string;
  readonly what: Parameters<typeof addItem>[1]["what"];
  readonly words: string;
  readonly footprints: readonly string[];
}

/** What stands nowhere yet: pressed, it goes where there is room; dragged, where it is let go. */
export function Tray({
  shownRef,
  stepMillimetres,
  onChoose,
}: { shownRef: RefObject<Shown | undefined>; stepMillimetres: number } & Pick<PanelProps, "onChoose">) {
  const { value } = useAnswer("chassisParts", NONE);
  const desk = useDesk();
  const { session, hands } = useAround();
  const dragged = useRef<{ readonly x: number; readonly y: number; id?: string }>(undefined);
  const pressed = useRef(true);
  // A large capacitor may hang on its wires: it may be put on the plate under Parts, and waits for nothing.
  const cans = new Set(value?.footprints.filter(({ kind }) => kind === "can").map(({ id }) => id));
  const absent: readonly Waiting[] = (value?.absent ?? []).filter((one) => !cans.has(one.footprints[0] ?? ""));
  if (absent.length === 0) return null;

  const at = (one: Waiting, x: number, y: number) => {
    const { book } = session.getState();
    const items = book.value.chassis?.items ?? [];
    const id = freshName(one.id.replace(/[^A-Za-z0-9_-]/g, "-"), items);
    const [footprint = ""] = one.footprints;
    return { id, edit: addItem(book.value, { id, what: one.what, footprint, x, y, degrees: 0 }, one.words) };
  };
  const put = async (one: Waiting) => {
    const room = await desk.once("chassisRoom", { footprint: one.footprints[0] ?? "" });
    if (room.value === undefined) return;
    const { id, edit } = at(one, room.value.x, room.value.y);
    if (!edit.ok) {
      hands.say({ level: "watch", sentence: edit.failure });
      return;
    }
    hands.keep(edit.value.title, edit.value.changes);
    onChoose({ item: id });
  };
  const move = (event: PointerEvent<HTMLButtonElement>, one: Waiting) => {
    const drag = dragged.current;
    const target = shownRef.current;
    if (drag === undefined || target === undefined) return;
    if (drag.id === undefined && Math.hypot(event.clientX - drag.x, event.clientY - drag.y) < DRAG_PIXELS) return;
    pressed.current = false;
    const box = target.svg.getBoundingClientRect();
    const { x: left, y: top } = target.svg.viewBox.baseVal;
    const [right, down] = [event.clientX - box.left, event.clientY - box.top];
    if (right < 0 || down < 0 || right > box.width || down > box.height) {
      delete drag.id;
      hands.drop();
      return;
    }
    const { x, y } = target.map.toPlate([right / PIXELS_PER_MILLIMETRE + left, down / PIXELS_PER_MILLIMETRE + top]);
    const { id, edit } = at(one, onGrid(x, stepMillimetres), onGrid(y, stepMillimetres));
    if (!edit.ok) return;
    drag.id = id;
    hands.hold(edit.value.title, edit.value.changes);
  };
  const end = (keep: boolean) => {
    const id = dragged.current?.id;
    dragged.current = undefined;
    if (id === undefined) return;
    if (keep) {
      hands.keepHand();
      onChoose({ item: id });
    } else hands.drop();
  };
  return (
    <section aria-labelledby="chassis-tray" className="chassis-tray">
      <SectionHead id="chassis-tray" title="Not on the plate yet" note="press, or drag onto the plate" />
      <ul>
        {absent.map((one) => (
          <li key={one.id}>
            <button
              type="button"
              className="button"
              disabled={one.footprints.length === 0}
              title={
                one.footprints.length === 0 ? "The library has no footprint for it; measure it under Parts." : undefined
              }
              onPointerDown={(event) => {
                if (event.button !== 0) return;
                pressed.current = true;
                dragged.current = { x: event.clientX, y: event.clientY };
                event.currentTarget.setPointerCapture(event.pointerId);
              }}
              onPointerMove={(event) => move(event, one)}
              onPointerUp={() => end(true)}
              onPointerCancel={() => end(false)}
              onKeyDown={(event) => {
                if (event.key === "Escape" && dragged.current !== undefined) end(false);
              }}
              onClick={() => {
                if (pressed.current) void put(one);
                pressed.current = true;
              }}
            >
              {one.words}
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
