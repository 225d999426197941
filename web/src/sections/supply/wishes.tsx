import { parseValue } from "@platewright/engine";
import { useId, useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument, useHands } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";

interface Asked {
  readonly what: string;
  readonly value: number;
}

/** Volts at a net, hum, or time to discharge wished for: the single part that brings it, tried before it is offered. */
export function Wishes() {
  const document = useDocument();
  const { value: nominal } = useAnswer("supplyNominal", {});
  const nets = (nominal?.volts ?? [])
    .map(([net]) => net)
    .filter((net) => net !== document.supply?.rectifier.output && net !== "0");
  const [what, setWhat] = useState<string>();
  const [written, setWritten] = useState("");
  const [asked, setAsked] = useState<Asked>();
  const [wrong, setWrong] = useState<string>();
  const id = useId();
  const chosen = what ?? nets[0] ?? "hum";
  const submit = () => {
    const plain = /^−|^-/.test(written.trim())
      ? -Number(
          written
            .trim()
            .replace(/^[−-]/, "")
            .replace(",", ".")
            .replace(/\s*dBV$/i, ""),
        )
      : Number.NaN;
    const volts = parseValue("voltage", written.replace(/\s*(s|seconds)$/i, ""));
    const value = chosen === "hum" ? plain : volts.ok ? volts.value : Number.NaN;
    if (Number.isFinite(value)) {
      setWrong(undefined);
      setAsked({ what: chosen, value });
    } else
      setWrong(
        chosen === "hum"
          ? "Write a level like −100 dBV."
          : chosen === "discharge"
            ? "Write seconds, like 30."
            : "Write volts, like 250.",
      );
  };
  return (
    <section aria-labelledby="supply-wishes" className="no-print">
      <SectionHead id="supply-wishes" title="Wished for" note="the one part that brings it" />
      <form
        className="supply-wish"
        onSubmit={(event) => {
          event.preventDefault();
          submit();
        }}
      >
        <label htmlFor={`${id}-what`} className="unseen">
          What
        </label>
        <select
          id={`${id}-what`}
          className="field"
          value={chosen}
          onChange={(event) => {
            setWhat(event.currentTarget.value);
            setAsked(undefined);
          }}
        >
          {nets.map((net) => (
            <option key={net} value={net}>
              volts at {net}
            </option>
          ))}
          <option value="hum">hum at the output, dBV</option>
          <option value="discharge">seconds to 60 V</option>
        </select>
        <input
          className="field"
          aria-label="How much"
          placeholder={chosen === "hum" ? "−100" : chosen === "discharge" ? "30" : "250"}
          value={written}
          onChange={(event) => setWritten(event.currentTarget.value)}
        />
        <button type="submit" className="button">
          Find
        </button>
      </form>
      {wrong !== undefined && (
        <p className="field-words" role="alert">
          {wrong}
        </p>
      )}
      {asked !== undefined && <Wish asked={asked} />}
    </section>
  );
}

function Wish({ asked }: { asked: Asked }) {
  const { value, failure, fresh } = useAnswer("supplyWish", asked);
  const hands = useHands();
  if (failure !== undefined) return <p role="status">{failure}</p>;
  if (value === undefined) return <p role="status">{fresh ? "" : "Trying values…"}</p>;
  return (
    <p className="supply-fixes">
      <button
        type="button"
        className="button primary"
        onClick={() => hands.keep(value.title, value.changes)}
        onPointerEnter={() => hands.hold(value.title, value.changes, true)}
        onPointerLeave={hands.drop}
      >
        {value.title}
      </button>
    </p>
  );
}
