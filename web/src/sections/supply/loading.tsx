import type { Finding } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { LevelSign } from "../../parts/level.tsx";
import { LimitBar } from "../../parts/limit-bar.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";

const WORDS: Readonly<Record<string, string>> = {
  "HT.amps": "High tension, dc",
  "transformer.voltAmps": "Transformer, whole",
};

/** Windings against their ratings: the worst of the conditions, with proven as its own share. */
export function Loading() {
  const { value, failure } = useAnswer("supplyFigures", {});
  const label = useDocument().supply?.transformer.label;
  const live = useSession((session) => session.hand !== undefined);
  return (
    <section aria-labelledby="supply-loading">
      <SectionHead id="supply-loading" title="Loading" note="worst condition" end={label} />
      {failure !== undefined && <p role="status">{failure}</p>}
      <table className="supply-bars">
        <tbody>
          {(value?.loads ?? [])
            .filter((one) => !/\.(dcAmps|peakAmps|inverseVolts)$/.test(one.id))
            .map((one) => (
              <tr key={one.id}>
                <th scope="row">{WORDS[one.id] ?? `Winding ${one.id.replace(".amps", "")}`}</th>
                <td className="number">
                  <b>{printed(one.value, one.unit)}</b> of {printed(one.limit, one.unit)}
                </td>
                <td className="supply-bar">
                  <LimitBar
                    now={one.value}
                    {...(one.proven === undefined ? {} : { proven: one.proven })}
                    to={one.limit}
                    live={live}
                    words={`${printed(one.value, one.unit)} of ${printed(one.limit, one.unit)}`}
                  />
                </td>
              </tr>
            ))}
        </tbody>
      </table>
      {value !== undefined && (
        <p className="supply-note">
          The primary draws {printValue(value.mainsAmps, "A")} rms with mains high; a slow fuse of{" "}
          {printValue(value.suggestedFuseAmps, "A")} suits.
          {value.copper !== null && ` Copper turns ${printValue(value.copper.watts, "W", 2)} into heat.`}
          {value.surgeAmps !== null &&
            ` Into the empty first capacitor at most ${printValue(value.surgeAmps, "A", 2)} (hot restart, mains high).`}
        </p>
      )}
      {(value?.notes ?? []).map((note) => (
        <p key={note} className="supply-note">
          {note}
        </p>
      ))}
    </section>
  );
}

const printed = (value: number, unit: string): string =>
  unit === "VA" ? `${value.toFixed(0)} VA` : printValue(value, unit);

const RECTIFIER_WORDS: Readonly<Record<string, string>> = {
  "rectifier-inverse": "Peak inverse",
  "rectifier-peak": "Peak current per plate",
  "rectifier-dc": "DC output",
  "rectifier-first-capacitor": "First capacitor",
  "rectifier-series": "Resistance per plate",
  "rectifier-winding": "Winding per plate, rms",
  "rectifier-heater-cathode": "Cathode above heater",
  "rectifier-chart-efficiency": "DC against its chart",
  "rectifier-surge": "Surge when hot",
};

/** The rectifier's own limits, each with its condition and source. */
export function RectifierLimits() {
  const { value: findings } = useAnswer("findings", {});
  const live = useSession((session) => session.hand !== undefined);
  const own = (findings ?? []).filter(
    (one) => one.rule.startsWith("rectifier-") && one.limit !== null && one.value !== null,
  );
  const document = useDocument();
  const envelope = document.supply?.rectifier.envelope;
  const type = document.envelopes.find((one) => one.id === envelope)?.type;
  return (
    <section aria-labelledby="supply-rectifier">
      <SectionHead
        id="supply-rectifier"
        title="Rectifier"
        end={type === undefined ? "silicon" : `${envelope ?? ""} ${type}`}
      />
      <table className="supply-bars">
        <tbody>
          {own.map((one) => (
            <tr key={one.id} title={`${one.condition}. ${one.source}`}>
              <th scope="row" className={one.level === "ok" ? undefined : "supply-heavy"}>
                {RECTIFIER_WORDS[one.rule] ?? one.title}
              </th>
              <td className="number">
                <b>{printValue(one.value ?? 0, one.unit)}</b> {one.sense === "above" ? "min" : "of"}{" "}
                {printValue(one.limit ?? 0, one.unit)}
              </td>
              <td className="supply-bar">
                <LimitBar now={one.value ?? 0} {...bounds(one)} live={live} words={one.title} />
              </td>
              <td className="supply-level">
                <LevelSign level={one.level} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

const bounds = ({ limit, sense }: Finding): { readonly from?: number; readonly to?: number } =>
  limit === null ? {} : sense === "above" ? { from: limit } : { to: limit };
