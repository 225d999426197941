import { printPercent, printValue } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument, useSession } from "../../state/use-session.ts";
import { partOf } from "../../state/edits.ts";
import type { StageAnswer } from "./plane-view.tsx";

/** The operating point in figures, against proven and the limits, and what the meter reads at the pins. */
export function PointTable({ stage }: { stage: StageAnswer }) {
  const document = useDocument();
  const live = useSession((session) => session.hand !== undefined);
  const { point, was, swing, known, pins, setBy } = stage;
  const share = known.watts === null ? undefined : point.watts / known.watts.value;
  const part =
    setBy === null
      ? undefined
      : partOf(document, setBy.slice(0, setBy.indexOf(".")), setBy.slice(setBy.indexOf(".") + 1));
  const rows: readonly { name: string; now: string; was: string; limit: string; source?: string | undefined }[] = [
    {
      name: "Plate to cathode",
      now: printValue(point.plateVolts, "V"),
      was: was === null ? "–" : printValue(was.at.plateVolts, "V"),
      limit: limitWords(known.volts, "V"),
      source: known.volts?.source,
    },
    {
      name: "Plate current",
      now: printValue(point.plateAmps, "A"),
      was: was === null ? "–" : printValue(was.at.plateAmps, "A"),
      limit: limitWords(known.amps, "A"),
      source: known.amps?.source,
    },
    {
      name: "Dissipation",
      now: printValue(point.watts, "W"),
      was: was === null ? "–" : printValue(was.at.watts, "W"),
      limit: share === undefined ? "not known" : `${printPercent(share)} of ${limitWords(known.watts, "W")}`,
      source: known.watts?.source,
    },
    {
      name: "Grid to cathode",
      now: printValue(point.gridVolts, "V"),
      was: was === null ? "–" : printValue(was.at.gridVolts, "V"),
      limit: "",
    },
    ...(swing === null
      ? []
      : [
          {
            name: `Swing at ${printValue(swing.inputVolts, "V")} in`,
            now: `${swing.lowPlateVolts.toFixed(0)} to ${printValue(swing.highPlateVolts, "V")}`,
            was:
              was === null || was.swing === null
                ? "–"
                : `${was.swing.lowPlateVolts.toFixed(0)} to ${printValue(was.swing.highPlateVolts, "V")}`,
            limit: `grid to ${printValue(swing.peakGridVolts, "V")}`,
          },
        ]),
    {
      name: "DC load",
      now: printValue(stage.dc.ohms, "Ω"),
      was: was === null ? "–" : printValue(was.dc.ohms, "Ω"),
      limit: "",
    },
  ];
  return (
    <section aria-labelledby="curves-point">
      <SectionHead id="curves-point" title="Operating point" note="drag it, or arrows; the part follows" />
      <p className="curves-big">
        <b className={live ? "live" : undefined}>
          {part !== undefined && "value" in part
            ? `${setBy?.split(".")[1] ?? ""} ${part.value}`
            : (setBy ?? "fixed bias")}
        </b>
        <span className="muted">
          plate reads {printValue(pins.plate, "V")}, cathode {printValue(pins.cathode, "V")}
        </span>
      </p>
      <table>
        <thead>
          <tr>
            <th scope="col">
              <span className="unseen">Quantity</span>
            </th>
            <th scope="col" className="number">
              Now
            </th>
            <th scope="col" className="number">
              Proven
            </th>
            <th scope="col" className="number">
              Limit
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.name} title={row.source}>
              <th scope="row">{row.name}</th>
              <td className={live ? "number live" : "number"}>
                <b>{row.now}</b>
              </td>
              <td className="number muted">{row.was}</td>
              <td className="number">{row.limit}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

const limitWords = (limit: { readonly value: number; readonly trust: string } | null, unit: string): string =>
  limit === null
    ? "not known"
    : `${printValue(limit.value, unit)}${limit.trust === "ok" ? "" : limit.trust === "ok-from-memory" ? " (memory)" : " (unverified)"}`;
