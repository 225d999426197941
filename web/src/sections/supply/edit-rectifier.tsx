import { ValueField } from "../../parts/value-field.tsx";
import { useDocument, useHands, useSession } from "../../state/use-session.ts";
import { useAnswer, useDesk } from "../../worker/use-answer.ts";
import type { Edits } from "../../state/use-edits.ts";
import { NumberField } from "./number-field.tsx";
import {
  circuitsFor,
  circuitWords,
  setChoke,
  setCircuit,
  setSeriesOhms,
  setSilicon,
  siliconForTube,
} from "./supply-edits.ts";

const NONE = {};

/** The rectifier: its type (the shelf's first), how the winding is rectified, and what stands in each lead. */
export function EditRectifier({ edits }: { edits: Edits }) {
  const { supply } = useDocument();
  const keptOhms = useSession((session) => session.book.value.supply?.rectifier.seriesOhms);
  if (supply === undefined) return null;
  const { rectifier } = supply;
  const { silicon } = rectifier;
  const circuits = circuitsFor(supply);
  const circuit = rectifier.circuit ?? "full-wave";
  return (
    <>
      {rectifier.envelope !== undefined && (
        <>
          <TubeType envelope={rectifier.envelope} />
          <button type="button" className="button" onClick={() => edits.keep(siliconForTube(edits.kept()))}>
            Silicon instead
          </button>
        </>
      )}
      {silicon !== undefined && (
        <>
          <span className="supply-note">{silicon.type}</span>
          <NumberField
            label="Inverse"
            unit="V"
            value={silicon.volts}
            onKeep={(volts) => volts !== undefined && edits.keep(setSilicon(edits.kept(), { ...silicon, volts }))}
          />
          <NumberField
            label="Mean"
            unit="A"
            quantity="current"
            value={silicon.amps}
            onKeep={(amps) => amps !== undefined && edits.keep(setSilicon(edits.kept(), { ...silicon, amps }))}
          />
        </>
      )}
      <ValueField
        label="In each plate lead"
        quantity="resistance"
        value={keptOhms ?? "0"}
        onHold={(written) => edits.hold(setSeriesOhms(edits.kept(), written))}
        onKeep={edits.keepHand}
        onDrop={edits.drop}
      />
      {circuits.length > 1 && (
        <label className="supply-control">
          Circuit
          <select
            className="field"
            value={circuit}
            onChange={(event) => {
              const next = circuits.find((one) => one === event.currentTarget.value);
              if (next !== undefined) edits.keep(setCircuit(edits.kept(), next));
            }}
          >
            {[...new Set([circuit, ...circuits])].map((one) => (
              <option key={one} value={one}>
                {circuitWords(one)}
              </option>
            ))}
          </select>
        </label>
      )}
    </>
  );
}

/** Wires move with the type; values stay, and findings say the rest. */
function TubeType({ envelope }: { envelope: string }) {
  const desk = useDesk();
  const hands = useHands();
  const document = useDocument();
  const { value: bottles } = useAnswer("bottles", NONE);
  const type = document.envelopes.find((one) => one.id === envelope)?.type ?? "";
  const choices = bottles?.find((one) => one.kind === "rectifier")?.choices ?? [];
  const shelf = choices.filter((one) => one.onShelf > 0);
  const library = choices.filter((one) => one.onShelf === 0);
  const put = async (next: string) => {
    hands.drop();
    const { value, failure } = await desk.once("placeTube", { envelope, type: next });
    if (failure !== undefined) hands.say({ level: "watch", sentence: failure });
    else if (value !== undefined) hands.keep(value.title, value.changes);
  };
  return (
    <label className="supply-control">
      Type
      <select className="field" value={type} onChange={(event) => void put(event.currentTarget.value)}>
        {!choices.some((one) => one.type === type) && <option value={type}>{type}</option>}
        {shelf.length > 0 && (
          <optgroup label="On the shelf">
            {shelf.map((one) => (
              <option key={one.type} value={one.type}>
                {one.type} ({one.onShelf})
              </option>
            ))}
          </optgroup>
        )}
        <optgroup label="In the library">
          {library.map((one) => (
            <option key={one.type} value={one.type}>
              {one.type}
            </option>
          ))}
        </optgroup>
      </select>
    </label>
  );
}

export function EditChoke({ edits }: { edits: Edits }) {
  const choke = useSession((session) => session.book.value.supply?.rectifier.choke);
  if (choke === undefined) return null;
  return (
    <>
      <ValueField
        label="Inductance"
        quantity="inductance"
        value={choke.value}
        onHold={(written) => edits.hold(setChoke(edits.kept(), "value", written))}
        onKeep={edits.keepHand}
        onDrop={edits.drop}
      />
      <ValueField
        label="Copper"
        quantity="resistance"
        value={choke.seriesOhms}
        onHold={(written) => edits.hold(setChoke(edits.kept(), "seriesOhms", written))}
        onKeep={edits.keepHand}
        onDrop={edits.drop}
      />
    </>
  );
}
