import { readHarmonic } from "@platewright/design";
import { parseValue, printPercent, printValue } from "@platewright/engine";
import { useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAround, useHands, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./voicing-screen.tsx";

/** The builder's own readings of the proven unit: they calibrate the prediction; and what to read first. */
export function Measured({ at, inputVolts }: { at: At; inputVolts: number }) {
  const { session } = useAround();
  const hands = useHands();
  const readings = useSession((state) => state.book.value.targets.measuredH2) ?? [];
  const { value, failure } = useAnswer("voicingCalibrated", at);
  const keep = (title: string, next: readonly { inputVolts: number; reading: string }[]) => {
    const before = session.getState().book.value.targets.measuredH2;
    hands.keep(title, [
      {
        target: "targets.measuredH2",
        ...(before === undefined ? {} : { before }),
        ...(next.length === 0 ? {} : { after: next }),
      },
    ]);
  };
  const nearest = <T extends { readonly inputVolts: number }>(levels: readonly T[] | undefined): T | undefined =>
    levels === undefined || levels.length === 0
      ? undefined
      : levels.reduce((best, one) =>
          Math.abs(Math.log(one.inputVolts / inputVolts)) < Math.abs(Math.log(best.inputVolts / inputVolts))
            ? one
            : best,
        );
  const now = nearest(value?.now);
  return (
    <section aria-labelledby="voicing-measured">
      <SectionHead id="voicing-measured" title="Measured on the proven unit" note="H2 at the output, controls as set" />
      <table>
        <thead>
          <tr>
            <th scope="col">Input</th>
            <th scope="col" className="number">
              Read
            </th>
            <th scope="col" className="number">
              From expected
            </th>
            <th scope="col">
              <span className="unseen">Remove</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {readings.map((one, n) => (
            <tr key={`${one.inputVolts} ${n}`}>
              <th scope="row">{printValue(one.inputVolts, "V")}</th>
              <td className="number">
                <b>{one.reading}</b>
              </td>
              <td className="number">{surprise(value?.deviations[n])}</td>
              <td className="number">
                <button
                  type="button"
                  className="button quiet voicing-small"
                  aria-label={`Remove the reading at ${one.inputVolts} V`}
                  onClick={() =>
                    keep(
                      `Reading at ${printValue(one.inputVolts, "V")} removed`,
                      readings.filter((_, at) => at !== n),
                    )
                  }
                >
                  Remove
                </button>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <Entry
        onAdd={(volts, reading) =>
          keep(`Measured H2 ${reading} at ${printValue(volts, "V")}`, [...readings, { inputVolts: volts, reading }])
        }
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      {now !== undefined && readings.length > 0 && (
        <p className="voicing-calibrated" role="status">
          At {printValue(now.inputVolts, "V")} in: predicted {printPercent(now.predictedRatio)} ±
          {now.priorBandDecibels.toFixed(1)} dB; with your readings{" "}
          <b>
            {printPercent(now.ratio)} ±{now.bandDecibels.toFixed(1)} dB
          </b>{" "}
          ({printPercent(now.lowRatio)} to {printPercent(now.highRatio)}).
          {value?.surprise === true && " A reading lies farther off than the model allows: check it, or the tube."}
        </p>
      )}
      <Rank at={at} inputVolts={inputVolts} />
    </section>
  );
}

const surprise = (deviations: number | undefined): string =>
  deviations === undefined ? "" : `${Math.abs(deviations).toFixed(1)} σ ${deviations >= 0 ? "above" : "below"}`;

function Entry({ onAdd }: { onAdd: (volts: number, reading: string) => void }) {
  const [volts, setVolts] = useState("");
  const [reading, setReading] = useState("");
  const [wrong, setWrong] = useState<string>();
  return (
    <form
      className="voicing-entry no-print"
      onSubmit={(event) => {
        event.preventDefault();
        const level = parseValue("voltage", volts);
        const ratio = readHarmonic(reading);
        setWrong(!level.ok ? level.failure.sentence : !ratio.ok ? ratio.failure : undefined);
        if (!level.ok || !ratio.ok) return;
        onAdd(level.value, reading.trim());
        setVolts("");
        setReading("");
      }}
    >
      <input
        className="field"
        aria-label="Input level of the reading"
        placeholder="1 V"
        value={volts}
        onChange={(event) => setVolts(event.currentTarget.value)}
      />
      <input
        className="field"
        aria-label="H2 as read"
        placeholder="0.57 % or −45 dB"
        value={reading}
        onChange={(event) => setReading(event.currentTarget.value)}
      />
      <button type="submit" className="button">
        Enter
      </button>
      {wrong !== undefined && (
        <p className="field-words" role="alert">
          {wrong}
        </p>
      )}
    </form>
  );
}

/** Readings by how much each would narrow the band, the best first. */
function Rank({ at, inputVolts }: { at: At; inputVolts: number }) {
  const { value, failure } = useAnswer("voicingRank", { ...at, inputVolts });
  if (failure !== undefined) return <p role="status">{failure}</p>;
  if (value === undefined) return null;
  return (
    <>
      <h3 className="voicing-under">Measure these first</h3>
      <ol className="voicing-rank">
        {value.measurements.map((one) => (
          <li key={one.quantity}>
            {one.words}: alone it narrows ±{value.bandDecibels.toFixed(1)} to ±{one.aloneDecibels.toFixed(1)} dB
            {one.togetherDecibels < one.aloneDecibels - 0.05
              ? `, with those above to ±${one.togetherDecibels.toFixed(1)} dB`
              : ""}
          </li>
        ))}
      </ol>
      <p className="voicing-note">
        For H2 of the unit now at {printValue(inputVolts, "V")} in; 90 % bands. A usual meter&rsquo;s own error is
        counted.
      </p>
    </>
  );
}
