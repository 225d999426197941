import type { DocumentPart } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { useState } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { ValueField } from "../../parts/value-field.tsx";
import { partEdit, partOf, quantityOf, readValue } from "../../state/edits.ts";
import { useAround, useDocument, useHands } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { RectifierType } from "./rectifier-type.tsx";

/** Least height of the drawing; it grows to what is drawn. */
const LEAST_MILLIMETRES = 40;

/** Transformer to B+, drawn with volts; the part that is pressed can be changed beside it. */
export function Chain() {
  const [box, { width }] = useSize<HTMLDivElement>();
  const document = useDocument();
  const [chosen, setChosen] = useState<string>();
  const instance = (document.supply?.rectifier.firstCapacitor ?? "").split(".")[0] ?? "";
  const { value: scene, failure } = useAnswer("supplyChain", {
    width: Math.max(100, Math.floor(width / PIXELS_PER_MILLIMETRE)),
    height: LEAST_MILLIMETRES,
  });
  const { value: nominal } = useAnswer("supplyNominal", {});
  const block = document.blocks[document.instances.find((one) => one.id === instance)?.block ?? ""];
  const pick = (ids: readonly string[]) => {
    const id = ids.find((one) => one.startsWith(`${instance}.`))?.slice(instance.length + 1);
    if (id !== undefined && block?.parts.some((part) => part.id === id) === true) setChosen(id);
  };
  return (
    <section aria-labelledby="supply-chain" className="supply-chain">
      <SectionHead
        id="supply-chain"
        title="Chain"
        note={
          nominal === undefined
            ? undefined
            : `mains ${document.supply?.mains.volts ?? ""} V ${document.supply?.mains.hertz ?? ""} Hz, warm, ${printValue(nominal.loadAmps, "A")} from the rectifier${nominal.wasLoadAmps === null ? "" : `, was ${printValue(nominal.wasLoadAmps, "A")}`}`
        }
        end={<RectifierType />}
      />
      <div ref={box} className="supply-drawing">
        {failure !== undefined && <p>{failure}</p>}
        {scene !== undefined && width > 0 && (
          <SceneView
            scene={scene}
            onPick={pick}
            chosen={new Set(chosen === undefined ? [] : [`${instance}.${chosen}`])}
          />
        )}
      </div>
      <ul className="supply-parts" aria-label="Parts of the supply">
        {(block?.parts ?? []).map((part) => (
          <PartRow key={part.id} part={part} instance={instance} chosen={part.id === chosen} />
        ))}
        <SeriesRow />
      </ul>
    </section>
  );
}

function PartRow({ part, instance, chosen }: { part: DocumentPart; instance: string; chosen: boolean }) {
  const { session } = useAround();
  const hands = useHands();
  const quantity = quantityOf(part);
  if (quantity === undefined || !("value" in part)) return null;
  const kept = () => session.getState().book.value;
  const rating =
    "volts" in part && part.volts !== undefined
      ? `${part.volts} V`
      : "watts" in part && part.watts !== undefined
        ? `${part.watts} W`
        : "";
  return (
    <li className={chosen ? "supply-part supply-chosen" : "supply-part"}>
      <ValueField
        label={part.id}
        quantity={quantity}
        value={(partOf(kept(), instance, part.id) as { value?: string } | undefined)?.value ?? part.value}
        onHold={(value) => {
          const edit = partEdit(kept(), [instance], part.id, { value });
          hands.hold(edit.title, edit.changes);
        }}
        onKeep={hands.keepHand}
        onDrop={hands.drop}
      />
      <span className="muted">
        {rating}
        {part.label === undefined ? "" : ` ${part.label}`}
      </span>
    </li>
  );
}

/** Resistance in each plate lead: a field of the rectifier, not a part of a block. */
function SeriesRow() {
  const { session } = useAround();
  const hands = useHands();
  const document = useDocument();
  const value = document.supply?.rectifier.seriesOhms;
  return (
    <li className="supply-part">
      <ValueField
        label="In each plate lead"
        quantity="resistance"
        value={value ?? "0"}
        onHold={(written) => {
          const before = session.getState().book.value.supply?.rectifier.seriesOhms;
          const none = readValue("resistance", written, { zero: true });
          const after = none.ok && none.value === 0 ? undefined : written;
          hands.hold(`In each plate lead ${before ?? "0"} → ${written}`, [
            {
              target: "supply.rectifier.seriesOhms",
              ...(before === undefined ? {} : { before }),
              ...(after === undefined ? {} : { after }),
            },
          ]);
        }}
        onKeep={hands.keepHand}
        onDrop={hands.drop}
      />
    </li>
  );
}
