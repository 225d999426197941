import { type ShelfFile, valueOf } from "@platewright/design";
import { E12, partCode } from "@platewright/engine";
import { useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument, useHands } from "../../state/use-session.ts";
import { CountField } from "./count-field.tsx";
import { addSeries, cellOf, countResistors, DECADES, resistanceAt, wattages } from "./shelf-edits.ts";

const WATTS = [0.25, 0.5, 0.6, 1, 2, 3, 5, 10] as const;

/** The resistor drawer of one wattage: decades of E12 with pieces; what the design uses is framed. */
export function Drawer({ shelf }: { shelf: ShelfFile }) {
  const hands = useHands();
  const document = useDocument();
  const known = wattages(shelf);
  const [chosen, setWatts] = useState<number>();
  const watts = chosen !== undefined && known.includes(chosen) ? chosen : known[0];
  const used = new Set(
    Object.values(document.blocks)
      .flatMap((block) => block.parts)
      .flatMap((part) => (part.kind === "resistor" ? [valueOf("resistance", part.value).toPrecision(4)] : [])),
  );
  const more = WATTS.filter((one) => !known.includes(one));
  return (
    <section aria-labelledby="shelf-drawer">
      <SectionHead
        id="shelf-drawer"
        title="Resistor drawer"
        note="pieces of each value; ● a series that is simply at hand"
        end={
          <span className="shelf-watts no-print">
            {watts !== undefined && (
              <Choice
                label="Rating"
                options={known.map((one) => ({ value: String(one), words: `${one} W` }))}
                value={String(watts)}
                onChoose={(value) => setWatts(Number(value))}
              />
            )}
            <select
              className="field"
              aria-label="Add a drawer of another rating"
              value=""
              onChange={(event) => {
                const added = Number(event.currentTarget.value);
                const { title, changes } = addSeries(shelf, added);
                hands.keep(title, changes, "shelf");
                setWatts(added);
              }}
            >
              <option value="">Add…</option>
              {more.map((one) => (
                <option key={one} value={one}>{`${one} W`}</option>
              ))}
            </select>
          </span>
        }
      />
      {watts === undefined ? (
        <p className="shelf-empty">No resistors yet: the searches then choose from E12, 10 Ω to 1 MΩ.</p>
      ) : (
        <table className="shelf-drawer">
          <thead>
            <tr>
              <th scope="col">
                <span className="unseen">Decade</span>
              </th>
              {E12.map((digits) => (
                <th key={digits} scope="col" className="number">
                  {(digits / 10).toFixed(1)}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {DECADES.map((decade) => (
              <tr key={decade}>
                <th scope="row">× {partCode(decade, "resistance")}</th>
                {E12.map((digits) => {
                  const ohms = resistanceAt(decade, digits);
                  if (ohms > 1e6) return <td key={digits} className="shelf-none" />;
                  const cell = cellOf(shelf, watts, ohms);
                  const inUse = used.has(ohms.toPrecision(4));
                  const tone = cell.kind === "none" || (cell.kind === "count" && cell.count === 0) ? " shelf-none" : "";
                  return (
                    <td key={digits} className={`shelf-cell${tone}${inUse ? " shelf-used" : ""}`}>
                      <CountField
                        label={`${partCode(ohms, "resistance")} ${watts} W${inUse ? ", used in this design" : ""}`}
                        count={cell.kind === "count" ? cell.count : undefined}
                        placeholder={cell.kind === "series" ? "●" : "–"}
                        onKeep={(count) => {
                          const { title, changes } = countResistors(shelf, watts, ohms, count);
                          hands.keep(title, changes, "shelf");
                        }}
                      />
                    </td>
                  );
                })}
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}
