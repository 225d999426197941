import { digits, printPercent } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAnswer } from "../../worker/use-answer.ts";
import { helpWords, parameterWords, spreadWords } from "./words.ts";

/** Rows of their own for what matters most; the rest share one. */
const MOST_ROWS = 3;
/** 90 % half-width in dB below which a parameter is not worth a row. */
const MATTERS_DECIBELS = 0.25;

/** What the rows of this type leave open, what it moves here, and the one reading that would help. */
export function LawNotes({ triode, inputVolts }: { triode: string; inputVolts: number }) {
  const { value, failure, fresh } = useAnswer("curvesOpen", { triode, inputVolts });
  const matters = (value?.open ?? []).filter((one) => Math.max(one.h2Decibels, one.gainDecibels) >= MATTERS_DECIBELS);
  const own = matters.slice(0, MOST_ROWS);
  const others = (value?.open ?? []).filter((one) => !own.includes(one));
  return (
    <section className="curves-law-notes" aria-labelledby="curves-law">
      <SectionHead
        id="curves-law"
        title="What the data does not determine"
        note={
          value === undefined
            ? (failure ?? (fresh ? "" : "solved when nothing is in hand"))
            : `${value.type}, ${value.rows} row${value.rows === 1 ? "" : "s"}, H2 ±${digits(value.h2BandDecibels, 2)} dB`
        }
        end={
          value?.worst === null || value?.worst === undefined ? undefined : (
            <span title={value.worst.title}>
              worst row {value.worst.share < 0 ? "−" : "+"}
              {printPercent(Math.abs(value.worst.share), 2)}: {value.worst.quantity},{" "}
              {value.worst.row.replaceAll("-", "−")}
            </span>
          )
        }
      />
      {value !== undefined && (
        <table className="curves-law">
          <thead>
            <tr>
              <th scope="col">What is open</th>
              <th scope="col">What fits the rows, and moves</th>
              <th scope="col">One reading that would help, and what it leaves open</th>
            </tr>
          </thead>
          <tbody>
            {own.map((one) => (
              <tr key={one.name}>
                <th scope="row">{parameterWords(one.name)}</th>
                <td>
                  {spreadWords(one.name, one.spread)}: H2 {halfWidth(one.h2Decibels)}, gain{" "}
                  {halfWidth(one.gainDecibels)} dB
                </td>
                <td className="muted">{helpWords(one.help, value.inputVolts)}</td>
              </tr>
            ))}
            {others.length > 0 && (
              <tr>
                <th scope="row">{own.length === 0 ? "Open" : "Open too"}</th>
                <td>{openWords(Math.max(...others.map((one) => one.h2Decibels)))}</td>
                <td className="muted">{listed(others.map((one) => uncapital(parameterWords(one.name))))}</td>
              </tr>
            )}
            {value.open.length === 0 && (
              <tr>
                <th scope="row">Shape of the curves</th>
                <td>set by the rows in all that the law knows</td>
                <td className="muted">what the law itself misses stays</td>
              </tr>
            )}
            {value.gridRule && (
              <tr>
                <th scope="row">Grid current</th>
                <td>one rule for all types</td>
                <td className="muted">volts across the grid leak as the level rises</td>
              </tr>
            )}
            <tr>
              <th scope="row">One bottle against another</th>
              <td>current ±{printPercent(1.645 * value.strength, 2)}, halves of one less</td>
              <td className="muted">your own bottles, each read at one point</td>
            </tr>
          </tbody>
        </table>
      )}
    </section>
  );
}

/** Slopes do not carry farther than this: near a null of H2, or where the stage gives out. */
const MOST_DECIBELS = 12;
const halfWidth = (decibels: number): string =>
  decibels > MOST_DECIBELS ? `over ±${MOST_DECIBELS}` : `±${decibels.toFixed(1)}`;

const openWords = (decibels: number): string =>
  decibels < 0.05 ? "of no weight here" : `H2 ${halfWidth(decibels)} dB at most`;

const uncapital = (words: string): string => words.replace(/^[A-Z](?=[a-z])/, (first) => first.toLowerCase());

const listed = (words: readonly string[]): string =>
  words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1) ?? ""}`;
