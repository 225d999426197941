import { FUSE_AMPS, type Supply } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { ValueField } from "../../parts/value-field.tsx";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { Edits } from "../../state/use-edits.ts";
import { NumberField } from "./number-field.tsx";
import { SizeSelect } from "./size-select.tsx";
import { type HeaterWinding, setDropper, setFuse, setHeater, setMains, setTap } from "./supply-edits.ts";

const NONE = {};

export function EditMains({ edits }: { edits: Edits }) {
  const { supply } = useDocument();
  if (supply === undefined) return null;
  const { mains } = supply;
  const { primary } = supply.transformer;
  const keep = (field: keyof typeof mains) => (value: number | undefined) => {
    if (value !== undefined) edits.keep(setMains(edits.kept(), field, value));
  };
  return (
    <>
      <NumberField label="Volts" unit="V" value={mains.volts} most={500} onKeep={keep("volts")} />
      <NumberField label="Frequency" unit="Hz" value={mains.hertz} least={40} most={70} onKeep={keep("hertz")} />
      <NumberField label="Low" unit="%" value={mains.lowPercent} least={-30} most={0} onKeep={keep("lowPercent")} />
      <NumberField label="High" unit="%" value={mains.highPercent} least={0} most={30} onKeep={keep("highPercent")} />
      {primary !== undefined && (
        <SizeSelect
          label="Tap in use"
          unit="V"
          value={primary.usedTapVolts}
          sizes={primary.tapVolts}
          onChoose={(volts) => edits.keep(setTap(edits.kept(), volts))}
        />
      )}
    </>
  );
}

type Fuse = NonNullable<Supply["fuse"]>;

export function EditFuse({ edits }: { edits: Edits }) {
  const fuse = useDocument().supply?.fuse;
  const { value: loads } = useAnswer("supplyLoads", NONE);
  const made = (change: Partial<Fuse>): Fuse => ({ amps: 0.25, kind: "slow", breaking: "high", ...fuse, ...change });
  return (
    <>
      <SizeSelect
        label="Rated"
        unit="A"
        value={fuse?.amps}
        sizes={FUSE_AMPS}
        onChoose={(amps) => edits.keep(setFuse(edits.kept(), made({ amps })))}
      />
      <label className="supply-control">
        Kind
        <select
          className="field"
          value={fuse?.kind ?? ""}
          onChange={(event) =>
            edits.keep(setFuse(edits.kept(), made({ kind: event.currentTarget.value === "fast" ? "fast" : "slow" })))
          }
        >
          {fuse === undefined && <option value="">none</option>}
          <option value="slow">slow</option>
          <option value="fast">fast</option>
        </select>
      </label>
      <label className="supply-control">
        Breaking capacity
        <select
          className="field"
          value={fuse?.breaking ?? ""}
          onChange={(event) =>
            edits.keep(setFuse(edits.kept(), made({ breaking: event.currentTarget.value === "low" ? "low" : "high" })))
          }
        >
          {fuse === undefined && <option value="">none</option>}
          <option value="high">high</option>
          <option value="low">low</option>
        </select>
      </label>
      {loads !== undefined && (
        <span className="supply-note">
          draws {printValue(loads.mainsAmps, "A")} with mains high; a slow {printValue(loads.suggestedFuseAmps, "A")}{" "}
          suits, the local code goes first
        </span>
      )}
      {loads !== undefined && fuse?.amps !== loads.suggestedFuseAmps && (
        <button
          type="button"
          className="button"
          onClick={() => edits.keep(setFuse(edits.kept(), made({ amps: loads.suggestedFuseAmps, kind: "slow" })))}
        >
          Fit {printValue(loads.suggestedFuseAmps, "A")}
        </button>
      )}
    </>
  );
}

const REFERRED: { readonly [R in NonNullable<HeaterWinding["referredBy"]>]: string } = {
  "centre-tap": "its centre tap",
  "two-resistors": "two resistors",
  "hum-pot": "a hum pot",
  "one-end": "one end",
};

/** What hangs between a heater winding and its pins, and what it is referred to. */
export function EditHeater({ id, edits }: { id: string; edits: Edits }) {
  const document = useDocument();
  const winding = document.supply?.transformer.heaters.find((one) => one.id === id);
  const keptDrop = useSession(
    (session) => session.book.value.supply?.transformer.heaters.find((one) => one.id === id)?.dropOhmsPerLeg,
  );
  if (winding === undefined) return null;
  const nets = referenceNets(document, winding.reference);
  return (
    <>
      <ValueField
        label="In each leg"
        quantity="resistance"
        value={keptDrop ?? "0"}
        onHold={(written) => edits.hold(setDropper(edits.kept(), id, written))}
        onKeep={edits.keepHand}
        onDrop={edits.drop}
      />
      <label className="supply-control">
        Referred by
        <select
          className="field"
          value={winding.referredBy ?? "centre-tap"}
          onChange={(event) => {
            const by = event.currentTarget.value as keyof typeof REFERRED;
            edits.keep(setHeater(edits.kept(), id, `by ${REFERRED[by]}`, (one) => ({ ...one, referredBy: by })));
          }}
        >
          {Object.entries(REFERRED).map(([by, words]) => (
            <option key={by} value={by}>
              {words}
            </option>
          ))}
        </select>
      </label>
      <label className="supply-control">
        to
        <select
          className="field"
          value={winding.reference}
          onChange={(event) => {
            const reference = event.currentTarget.value;
            const words = `referred to ${reference === "0" ? "ground" : reference}`;
            edits.keep(setHeater(edits.kept(), id, words, (one) => ({ ...one, reference })));
          }}
        >
          {nets.map((net) => (
            <option key={net} value={net}>
              {net === "0" ? "ground" : net}
            </option>
          ))}
        </select>
      </label>
    </>
  );
}

/** Ground, and nets that instances share: what a winding can be tied to. */
function referenceNets(document: ReturnType<typeof useDocument>, present: string): readonly string[] {
  const shared = document.instances.flatMap((one) => Object.values(one.ports));
  return [...new Set(["0", present, ...shared])];
}
