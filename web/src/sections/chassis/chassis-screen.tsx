import { type CSSProperties, memo, useCallback, useMemo, useRef, useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useHands, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { useRemembered } from "../../state/use-remembered.ts";
import { BeginPlate } from "./begin-plate.tsx";
import { Clearances } from "./clearances.tsx";
import { Findings } from "./findings.tsx";
import { HolesTable } from "./holes-table.tsx";
import { Inspector } from "./inspector.tsx";
import { removeItem } from "./metal-edits.ts";
import { MetalPanels } from "./metal-panels.tsx";
import { Mirror } from "./mirror.tsx";
import { Legend } from "./legend.tsx";
import type { Chosen } from "./panel.ts";
import { PlateView } from "./plate-view.tsx";
import { STEPS } from "./snap.ts";
import { SideView } from "./side-view.tsx";
import { type Shown, Tray } from "./tray.tsx";
import { useMoving } from "./use-moving.ts";
import { useNarrow } from "./use-narrow.ts";
import { Pins, Wires } from "./wires.tsx";
import "./chassis.css";

const NONE = {};
const NOBODY: readonly string[] = [];
const ZOOMS = [1, 1.5, 2, 3] as const;

type Seen = "top" | "under" | "front" | "left";

const HEADS: { readonly [S in Seen]: string } = {
  top: "Top plate, seen from above",
  under: "Top plate, seen from below",
  front: "Chassis, seen from the front",
  left: "Chassis, seen from the left",
};

export function ChassisScreen() {
  const has = useSession((session) => session.book.value.chassis !== undefined);
  return has ? <Sheet /> : <Empty />;
}

/** Nothing of it is drawn again while a part is moved. */
const Bench = memo(MetalPanels);

/** Every part of the circuit waits until it is put somewhere; the plate comes first. */
function Empty() {
  const document = useSession((session) => session.book.value);
  const tubes = document.envelopes.length;
  return (
    <div className="chassis-empty">
      <p>
        {document.name} is a circuit so far: {tubes === 1 ? "one tube" : `${tubes} tubes`}, and no metal under{" "}
        {tubes === 1 ? "it" : "them"}. Every part waits beside the plate until it is put somewhere.
      </p>
      <BeginPlate />
    </div>
  );
}

/** While something is only looked at nothing grows or shrinks: the button under the pointer must not go. */
const still = (looked: boolean, height: number): CSSProperties =>
  looked && height > 0 ? { height, overflowY: "clip", overflowAnchor: "none" } : {};

function Sheet() {
  const [seen, setSeen] = useRemembered<Seen>("chassis.face", "top");
  const [step, setStep] = useRemembered<string>("chassis.step", "1");
  const [wires, setWires] = useRemembered<boolean>("chassis.wires", true);
  const [zoom, setZoom] = useState<number>(1);
  const [chosen, setChosen] = useState<Chosen>();
  const [also, setAlso] = useState(NOBODY);
  const kept = useSession((session) => session.book.value);
  const hands = useHands();
  const { value: facts, fresh: isFresh } = useAnswer("chassisItems", NONE);
  const moving = useMoving();
  const looked = useSession(({ hand }) => hand?.preview === true);
  const [main, { height: mainHeight }] = useSize<HTMLElement>();
  const [side, { height: sideHeight }] = useSize<HTMLDivElement>();
  const shownRef = useRef<Shown>(undefined);
  const stepMillimetres = STEPS.find(({ value }) => value === step)?.millimetres ?? 1;
  const names = useMemo(() => new Map(facts?.items.map(({ id, name }) => [id, name])), [facts]);
  const ids = useMemo(() => new Set(names.keys()), [names]);
  const choose = useCallback((next: Chosen | undefined) => {
    setChosen(next);
    setAlso((was) => (next?.item === undefined || was.includes(next.item) ? NOBODY : was));
  }, []);
  const chooseAll = useCallback((next: Chosen | undefined, others: readonly string[] = NOBODY) => {
    setChosen(next);
    setAlso(others);
  }, []);
  const leave = useCallback(() => side.current?.querySelector("input")?.focus(), [side]);
  const remove = useCallback(
    (id: string) => {
      const removed = removeItem(kept, id);
      if (!removed.ok) hands.say({ level: "watch", sentence: removed.failure });
      else if (hands.keep(removed.value.title, removed.value.changes)) choose(undefined);
    },
    [kept, hands, choose],
  );
  const found = facts?.items.find(({ id }) => id === chosen?.item);
  // What is chosen may leave the plate by another hand.
  const isGone = chosen?.item !== undefined && facts !== undefined && found === undefined && isFresh;
  const choice = isGone ? undefined : chosen;
  const plate = kept.chassis?.plate;
  const narrow = useNarrow();
  const holes = <HolesTable chosen={choice} onChoose={choose} />;
  const clear = <Clearances names={names} onChoose={choose} />;
  return (
    <div className="chassis-sheet">
      <section ref={main} aria-labelledby="chassis-plate" className="chassis-main" style={still(looked, mainHeight)}>
        <SectionHead
          id="chassis-plate"
          title={HEADS[seen]}
          note={
            seen === "under"
              ? "mirrored: x runs leftward, words do not"
              : `${plate?.widthMillimetres} × ${plate?.depthMillimetres} × ${plate?.thicknessMillimetres} mm ${plate?.material}`
          }
          end={
            <Choice
              label="Seen from"
              options={[
                { value: "top", words: "Above" },
                { value: "under", words: "Below" },
                { value: "front", words: "Front" },
                { value: "left", words: "Left" },
              ]}
              value={seen}
              onChoose={setSeen}
            />
          }
        />
        {seen === "front" || seen === "left" ? (
          <SideView from={seen} chosen={choice} onChoose={choose} />
        ) : (
          <PlateView
            face={seen}
            wires={wires && seen === "under"}
            zoom={zoom}
            stepMillimetres={stepMillimetres}
            chosen={choice}
            onChoose={choose}
            also={also}
            onAlso={setAlso}
            moving={moving}
            shownRef={shownRef}
            onLeave={leave}
            onRemove={remove}
          />
        )}
        <div className="chassis-bar no-print">
          <label className="chassis-step">
            <span>Step</span>
            <select className="field" value={step} onChange={({ currentTarget: { value } }) => setStep(value)}>
              {STEPS.map(({ value, words }) => (
                <option key={value} value={value}>
                  {words}
                </option>
              ))}
            </select>
          </label>
          {seen === "under" && (
            <label className="chassis-tick">
              <input type="checkbox" checked={wires} onChange={({ currentTarget: { checked } }) => setWires(checked)} />
              Wires
            </label>
          )}
          <Legend wires={wires && seen === "under"} />
          <div className="chassis-zoom" role="group" aria-label="Size of the drawing">
            <button
              type="button"
              className="button"
              disabled={zoom === ZOOMS[0]}
              aria-label="Smaller"
              onClick={() => setZoom(ZOOMS[Math.max(0, ZOOMS.indexOf(zoom as 1) - 1)] ?? 1)}
            >
              −
            </button>
            <button type="button" className="button" aria-pressed={zoom === 1} onClick={() => setZoom(1)}>
              Fit
            </button>
            <button
              type="button"
              className="button"
              disabled={zoom === ZOOMS.at(-1)}
              aria-label="Larger"
              onClick={() => setZoom(ZOOMS[Math.min(ZOOMS.length - 1, ZOOMS.indexOf(zoom as 1) + 1)] ?? 1)}
            >
              +
            </button>
          </div>
        </div>
        <Tray shownRef={shownRef} stepMillimetres={stepMillimetres} onChoose={choose} />
        {narrow ? holes : clear}
        {found?.isSocket === true && <Pins item={found.id} />}
        {seen === "under" && <Wires />}
      </section>
      <div ref={side} className="chassis-side" style={still(looked, sideHeight)}>
        {found !== undefined && (
          <Inspector
            key={found.id}
            facts={found}
            also={also}
            stepMillimetres={stepMillimetres}
            onClose={() => choose(undefined)}
            onRemove={remove}
          />
        )}
        <Findings ids={ids} onChoose={chooseAll} />
        {narrow ? clear : holes}
      </div>
      <div className="chassis-bench">
        <Mirror />
        <Bench chosen={choice} onChoose={choose} />
      </div>
    </div>
  );
}
