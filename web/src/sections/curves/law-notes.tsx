import { printPercent } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAnswer } from "../../worker/use-answer.ts";
import type { Picture } from "./asks.ts";

/** Names of the law's parameters as a builder can use them: what stays open, and what one reading would help. */
const OPEN_WORDS: Readonly<Record<string, readonly [string, string]>> = {
  mu: ["mu", "the gain of a stage with a known load"],
  G: ["how strong the tube is", "plate current at one known point"],
  p: ["how current grows with volts", "plate current at a low and at a high point"],
  Vct: ["volts of the grid's contact", "plate current near grid zero"],
  Vt: ["the tail near cut-off", "plate current at a few tenths of a milliampere"],
  a: ["how mu falls towards cut-off", "H2 of a stage at a known level"],
  k: ["how fast mu falls", "H2 at two levels"],
};

/** What the data of this type does not determine, in words, with what would help. */
export function LawNotes({ triode, picture }: { triode: string; picture: Picture }) {
  const { value } = useAnswer("curvesFamily", { triode, picture });
  if (value === undefined) return null;
  const { law, type } = value;
  return (
    <section aria-labelledby="curves-law">
      <SectionHead
        id="curves-law"
        title="What the data does not determine"
        note={`${type}, ${law.rows} row${law.rows === 1 ? "" : "s"}, law from ${law.basis}`}
        end={law.worst === null ? undefined : `worst row ${printPercent(law.worst.share)}`}
      />
      <table className="curves-law">
        <tbody>
          {law.open.map((name) => {
            const [words, help] = OPEN_WORDS[name] ?? [name, "more points of the maker's curves"];
            return (
              <tr key={name}>
                <th scope="row">{words}</th>
                <td>left open by the rows of this type; its band is in every figure</td>
                <td className="muted">{help}</td>
              </tr>
            );
          })}
          <tr>
            <th scope="row">H2</th>
            <td>known to ±{law.h2BandDecibels.toFixed(1)} dB, fit and specimen together</td>
            <td className="muted">measure H2 of the proven unit: see Voicing</td>
          </tr>
          <tr>
            <th scope="row">One bottle against another</th>
            <td>currents differ by some ±{printPercent(1.65 * law.strength, 2)} (90 %), halves of one bottle less</td>
            <td className="muted">common practice; your own readings tell</td>
          </tr>
        </tbody>
      </table>
    </section>
  );
}
