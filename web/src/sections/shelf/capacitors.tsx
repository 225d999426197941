import { type ShelfFile, valueOf } from "@platewright/design";
import { parseValue, printValue } from "@platewright/engine";
import { useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useHands } from "../../state/use-session.ts";
import { CountField } from "./count-field.tsx";
import { removeCapacitor, setCapacitor } from "./shelf-edits.ts";

export function Capacitors({ shelf }: { shelf: ShelfFile }) {
  const hands = useHands();
  const [adding, setAdding] = useState({ value: "", volts: "" });
  const [wrong, setWrong] = useState<string>();
  const add = () => {
    const value = parseValue("capacitance", adding.value);
    const volts = parseValue("voltage", adding.volts);
    const sentence = !value.ok ? value.failure.sentence : !volts.ok ? volts.failure.sentence : undefined;
    setWrong(sentence);
    if (!value.ok || !volts.ok) return;
    const { title, changes } = setCapacitor(shelf, shelf.capacitors.length, {
      value: adding.value.trim(),
      volts: volts.value,
      count: 1,
    });
    hands.keep(title, changes, "shelf");
    setAdding({ value: "", volts: "" });
  };
  return (
    <section aria-labelledby="shelf-capacitors">
      <SectionHead id="shelf-capacitors" title="Capacitors" />
      <table>
        <thead>
          <tr>
            <th scope="col">Value</th>
            <th scope="col">Rating</th>
            <th scope="col" className="number">
              On hand
            </th>
            <th scope="col">
              <span className="unseen">Actions</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {shelf.capacitors.map((one, at) => (
            <tr key={`${one.value} ${one.volts} ${at}`}>
              <th scope="row">{printValue(valueOf("capacitance", one.value), "F")}</th>
              <td>{one.volts} V</td>
              <td className="number">
                <CountField
                  label={`${one.value} ${one.volts} V on hand`}
                  count={one.count}
                  onKeep={(count) => {
                    const { title, changes } = setCapacitor(shelf, at, { ...one, count });
                    hands.keep(title, changes, "shelf");
                  }}
                />
              </td>
              <td className="shelf-remove">
                <button
                  type="button"
                  className="button quiet"
                  aria-label={`Remove ${one.value} ${one.volts} V from the shelf`}
                  onClick={() => {
                    const { title, changes } = removeCapacitor(shelf, at);
                    hands.keep(title, changes, "shelf");
                  }}
                >
                  Remove
                </button>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <form
        className="shelf-add no-print"
        onSubmit={(event) => {
          event.preventDefault();
          add();
        }}
      >
        <input
          className="field"
          aria-label="Value of a capacitor to add"
          placeholder="47u"
          value={adding.value}
          onChange={(event) => setAdding({ ...adding, value: event.currentTarget.value })}
        />
        <input
          className="field"
          aria-label="Its rated volts"
          placeholder="450 V"
          value={adding.volts}
          onChange={(event) => setAdding({ ...adding, volts: event.currentTarget.value })}
        />
        <button type="submit" className="button">
          Add
        </button>
        {wrong !== undefined && (
          <span className="field-words" role="alert">
            {wrong}
          </span>
        )}
      </form>
    </section>
  );
}
