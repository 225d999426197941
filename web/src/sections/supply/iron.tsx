import type { Finding, Transformer } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { ByLabel, ByReadings, ByUnknown } from "./iron-ways.tsx";
import { worstOf } from "./levels.ts";
import { NumberField } from "./number-field.tsx";
import { setIron } from "./supply-edits.ts";
import { Waiting } from "./told.tsx";
import { useEdits } from "../../state/use-edits.ts";

const NONE = {};

type Way = "label" | "measured" | "unknown";

/** What is known of the iron, how, and how far: by its label, by readings, or hardly at all. */
export function Iron({ findings }: { findings: readonly Finding[] }) {
  const told = useAnswer("supplyIron", NONE);
  const iron = useDocument().supply?.transformer;
  const present: Way = iron?.unknown !== undefined ? "unknown" : iron?.measured !== undefined ? "measured" : "label";
  const [way, setWay] = useState<Way>();
  if (iron === undefined) return null;
  const shown = way ?? present;
  const level = worstOf(findings, /^transformer-/);
  return (
    <section aria-labelledby="supply-iron" className="supply-iron">
      <SectionHead
        id="supply-iron"
        title="Transformer"
        note={iron.label}
        end={level === undefined ? undefined : <LevelSign level={level} />}
      />
      <div className="supply-iron-body">
        <div className="supply-iron-entry no-print">
          <Choice
            label="Known by"
            options={[
              { value: "label", words: "By its label" },
              { value: "measured", words: "By readings" },
              { value: "unknown", words: "Unknown iron" },
            ]}
            value={shown}
            onChoose={setWay}
          />
          {shown === "label" && <ByLabel key={iron.label} iron={iron} />}
          {shown === "measured" && <ByReadings key={JSON.stringify(iron.measured ?? null)} iron={iron} />}
          {shown === "unknown" && <ByUnknown key={JSON.stringify(iron.unknown ?? null)} iron={iron} />}
        </div>
        <div>
          <Waiting told={told} what="Working the iron out" />
          {told.value !== undefined && <Known value={told.value} iron={iron} />}
        </div>
      </div>
    </section>
  );
}

const KNOWN: { readonly [W in Way]: string } = {
  label: "by its label",
  measured: "by the builder's own readings",
  unknown: "by estimates: iron of unknown rating",
};

const rangeWords = ([low, high]: readonly [number, number], unit: string): string =>
  high > low * 1.005 ? `${printValue(low, unit)} to ${printValue(high, unit)}` : printValue(low, unit);

function Known({ value, iron }: { value: ValueOf<"supplyIron">; iron: Transformer }) {
  const { ranges, highTension, copper } = value;
  const edits = useEdits();
  return (
    <>
      <table>
        <caption className="supply-caption">Used as, {KNOWN[value.knownBy]}</caption>
        <tbody>
          <tr>
            <th scope="row">High tension, dc</th>
            <td className="number">
              <b>{printValue(highTension.ratedAmps, "A")}</b>
            </td>
            <td className="muted">
              {ranges.ratedAmps[1] > ranges.ratedAmps[0] * 1.005 ? rangeWords(ranges.ratedAmps, "A") : ""}
            </td>
          </tr>
          <tr>
            <th scope="row">One half, nothing on it</th>
            <td className="number">
              <b>{printValue(highTension.unloadedRmsVoltsPerHalf, "V")}</b>
            </td>
            <td className="muted">rated {printValue(highTension.ratedRmsVoltsPerHalf, "V")}</td>
          </tr>
          <tr>
            <th scope="row">Source of one half</th>
            <td className="number">
              <b>{printValue(highTension.ohmsPerHalf, "Ω")}</b>
            </td>
            <td className="muted">{rangeWords(ranges.ohmsPerHalf, "Ω")}, primary reflected, warm</td>
          </tr>
          <tr>
            <th scope="row">Whole</th>
            <td className="number">
              <b>{ranges.voltAmps[0].toFixed(0)}</b>
              {"\u202f"}VA
            </td>
            <td className="muted">
              {ranges.voltAmps[1] > ranges.voltAmps[0] * 1.005
                ? `${ranges.voltAmps[0].toFixed(0)} to ${ranges.voltAmps[1].toFixed(0)}\u202fVA, the careful end used`
                : ""}
            </td>
          </tr>
        </tbody>
      </table>
      {value.estimates.length > 0 && (
        <ul className="supply-note">
          {value.estimates.map((one) => (
            <li key={one.by}>
              By {one.by}: {rangeWords(one.amps, "A")} dc
              {one.voltAmps === undefined
                ? ""
                : `, ${one.voltAmps[0].toFixed(0)} to ${one.voltAmps[1].toFixed(0)}\u202fVA`}
              {one.note === undefined ? "" : `; ${one.note}`}
            </li>
          ))}
        </ul>
      )}
      {copper !== null && (
        <p className="supply-note">
          Copper, running:{" "}
          {copper.windings
            .map((one) => `${one.winding} ${printValue(one.rmsAmps, "A")} rms, ${printValue(one.watts, "W", 2)}`)
            .join("; ")}
          . {printValue(copper.watts, "W", 2)} in all, {copper.voltAmps.toFixed(0)}
          {"\u202f"}VA; each winding&rsquo;s share{" "}
          {value.copperFrom === "readings"
            ? "from the readings"
            : "as usual for iron of this size: assumed, common practice"}
          .
        </p>
      )}
      {value.notes.map((note) => (
        <p key={note} className="supply-note">
          {note}
        </p>
      ))}
      {value.saleStop && (
        <p>
          <LevelSign level="stop" words="not for sale yet" />
        </p>
      )}
      <div className="supply-controls no-print">
        <label className="supply-control">
          A rated current means
          <select
            className="field"
            value={iron.currentRating ?? "dc-after-capacitor"}
            onChange={(event) => {
              const currentRating = event.currentTarget.value === "ac-rms" ? "ac-rms" : "dc-after-capacitor";
              edits.keep(
                setIron(
                  edits.kept(),
                  `Rated current read as ${currentRating === "ac-rms" ? "ac rms" : "dc after a capacitor"}`,
                  (one) => ({ ...one, currentRating }),
                ),
              );
            }}
          >
            <option value="dc-after-capacitor">dc after a capacitor</option>
            <option value="ac-rms">ac rms</option>
          </select>
        </label>
        <NumberField
          label="Whole, by its maker"
          unit="VA"
          value={iron.ratedVoltAmps}
          optional
          onKeep={(ratedVoltAmps) =>
            edits.keep(
              setIron(edits.kept(), `Rated VA ${ratedVoltAmps ?? "not known"}`, ({ ratedVoltAmps: _was, ...one }) => ({
                ...one,
                ...(ratedVoltAmps === undefined ? {} : { ratedVoltAmps }),
              })),
            )
          }
        />
      </div>
    </>
  );
}
