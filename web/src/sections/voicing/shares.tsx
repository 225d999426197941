import { SectionHead } from "../../parts/section-head.tsx";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./channels.ts";
import { useLast } from "./use-last.ts";
import { decibelsOf, percentWords, quantity, signed } from "./words.ts";

type Shares = ValueOf<"voicingShares">;

/** Which section makes the harmonics, and which takes away from them. */
export function Shares({ at, inputVolts }: { at: At; inputVolts: number }) {
  const { value: newest, failure } = useAnswer("voicingShares", { ...at, inputVolts });
  const value = useLast(newest);
  return (
    <section aria-labelledby="voicing-shares">
      <SectionHead
        id="voicing-shares"
        title="Which section makes it"
        end={value === undefined ? "" : `${quantity(value.inputVolts, "V")} in`}
      />
      {failure !== undefined && <p className="voicing-note">{failure}</p>}
      {value !== undefined && (
        <>
          <table>
            <thead>
              <tr>
                <th scope="col">
                  <span className="unseen">Section</span>
                </th>
                <th scope="col" className="number">
                  H2
                </th>
                <th scope="col" className="number">
                  H3
                </th>
              </tr>
            </thead>
            <tbody>
              {value.sections.map((one) => (
                <tr key={one.triode}>
                  <th scope="row">
                    {one.triode.slice(one.triode.indexOf(".") + 1)}{" "}
                    <span className="muted">{one.role === "gain" ? "gain" : "follower"}</span>
                  </th>
                  <td className="number">{share(one.h2)}</td>
                  <td className="number">{share(one.h3)}</td>
                </tr>
              ))}
              <tr>
                <th scope="row">
                  <b>Together</b>
                </th>
                <td className="number">
                  <b>{share(value.whole.h2)}</b>
                </td>
                <td className="number">
                  <b>{share(value.whole.h3)}</b>
                </td>
              </tr>
            </tbody>
          </table>
          <p className="voicing-note">{sentenceOf(value)}</p>
        </>
      )}
    </section>
  );
}

const share = (ratio: number): string =>
  decibelsOf(ratio) < -130 ? "–" : `${ratio < 0 ? "−" : "+"}${percentWords(Math.abs(ratio))}`;

/** What cancels what, in words. */
function sentenceOf({ sections, whole, together }: Shares): string {
  const against = sections.filter((one) => one.h2 * whole.h2 < 0);
  const made = sections.filter((one) => one.h2 * whole.h2 > 0).reduce((sum, one) => sum + Math.abs(one.h2), 0);
  const taken = against.reduce((sum, one) => sum + Math.abs(one.h2), 0);
  const names = against.map((one) => one.triode.slice(one.triode.indexOf(".") + 1)).join(" and ");
  const rest = Math.abs(together.h2 / whole.h2);
  const left = rest > 0.02 ? ` Curves bent by curves add ${signed(100 * (together.h2 / whole.h2), true, 0)} %.` : "";
  const alone = "Each section solved with the others straight. ";
  return against.length === 0 || !(made > 0)
    ? `${alone}No section takes H2 away from another.${left}`
    : `${alone}${names} takes ${((100 * taken) / made).toFixed(0)}\u202f% of the H2 away again.${left}`;
}
