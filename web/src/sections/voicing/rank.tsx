import { CAUTION_SHORT } from "@platewright/design";
import { useSession } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./channels.ts";
import { useLast } from "./use-last.ts";
import { quantity, percentWords, decibelWords } from "./words.ts";

type Ranked = ValueOf<"voicingRank">["measurements"][number];

/** Readings by how much each would narrow the band, the best first. */
export function Rank({ at, inputVolts }: { at: At; inputVolts: number }) {
  const { value: newest, failure } = useAnswer("voicingRank", { ...at, inputVolts });
  const value = useLast(newest);
  const read = useSession((session) => session.book.value.targets.measuredH2?.length ?? 0);
  return (
    <section aria-labelledby="voicing-rank">
      <h3 className="voicing-under" id="voicing-rank">
        Measure these things on your proven unit first
      </h3>
      {failure !== undefined && <p className="voicing-note">{failure}</p>}
      {value !== undefined && (
        <>
          <ol className="voicing-rank">
            {value.measurements.map((one) => (
              <li key={one.quantity}>
                {words(one)} <span className="muted">(expect {expected(one)})</span>:{" "}
                <b>{narrows(value.bandDecibels, one)}</b>
                {one.quantity === "h2" && read > 0 && ". Read already"}
              </li>
            ))}
          </ol>
          <p className="voicing-note">
            For H2 of the unit now at {quantity(value.inputVolts, "V")} in, ±{value.bandDecibels.toFixed(1)}
            {"\u202f"}dB as it stands; a usual meter&rsquo;s own error is counted. <b>{CAUTION_SHORT}</b>
          </p>
        </>
      )}
    </section>
  );
}

const words = ({ words: said }: Ranked): string => `${said.slice(0, 1).toUpperCase()}${said.slice(1)}`;

function expected({ quantity: which, expected: value }: Ranked): string {
  switch (which) {
    case "cathode-volts":
    case "plate-volts":
      return quantity(value, "V");
    case "gain":
      return `${value.toFixed(2)} times, ${decibelWords(20 * Math.log10(value))}`;
    case "h2":
      return percentWords(value);
  }
}

/** What it takes off the band when it is read alone. */
function narrows(before: number, { aloneDecibels }: Ranked): string {
  return before - aloneDecibels < 0.05
    ? "tells next to nothing about H2"
    : `narrows ±${before.toFixed(1)} to ±${aloneDecibels.toFixed(1)}\u202fdB`;
}
