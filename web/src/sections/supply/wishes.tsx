import { parseValue } from "@platewright/engine";
import { type ReactNode, useId, useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAnswer, useDesk } from "../../worker/use-answer.ts";
import { readNumber } from "./read-number.ts";
import { FixButton } from "./to-decide.tsx";
import { meter } from "./words.ts";

const NONE = {};

interface Wish {
  readonly what: string;
  readonly value: number;
}

/** Volts at a net, hum, time to discharge: written, tried by solving, and brought about with one press. */
export function Wishes() {
  const { value } = useAnswer("supplyChain", NONE);
  const nodes = value?.now.nodes ?? [];
  const nets = nodes.filter((node) => node.after !== undefined && !node.net.includes("."));
  const [net, setNet] = useState<string>();
  const chosen = nets.find((one) => one.net === net) ?? nets.at(-1);
  return (
    <section aria-labelledby="supply-wishes" className="no-print">
      <SectionHead
        id="supply-wishes"
        title="Wished for"
        note="the one part that brings it, tried before it is offered"
      />
      <div className="supply-wishes">
        {chosen !== undefined && (
          <WishLine
            key={`volts ${chosen.net}`}
            what={chosen.net}
            unit="V"
            example={meter(Math.round(chosen.volts / 10) * 10)}
            read={(text) => positive(text, "V")}
            label={
              <>
                Volts at{" "}
                <select
                  className="field"
                  aria-label="Net"
                  value={chosen.net}
                  onChange={(event) => setNet(event.currentTarget.value)}
                >
                  {nets.map((one) => (
                    <option key={one.net} value={one.net}>
                      {one.net}
                    </option>
                  ))}
                </select>
              </>
            }
            name={`Volts at ${chosen.net}`}
          />
        )}
        <WishLine what="hum" unit="dBV" example="−100" read={decibelVolts} label="Each hum line" name="Each hum line" />
        <WishLine
          what="discharge"
          unit="s"
          example="30"
          read={(text) => positive(text, "s")}
          label="Under 60 V within"
          name="Under 60 V within"
        />
      </div>
    </section>
  );
}

type Read = { readonly ok: true; readonly value: number } | { readonly ok: false; readonly failure: string };

function positive(text: string, unit: "V" | "s"): Read {
  const read = parseValue("voltage", text.replace(/\s*(s|seconds)$/i, ""));
  return read.ok
    ? { ok: true, value: read.value }
    : { ok: false, failure: unit === "V" ? "Write volts, like 250." : "Write seconds, like 30." };
}

/** A level is below 1 V: "100" is taken as −100 dBV. */
function decibelVolts(text: string): Read {
  const read = readNumber("voltage", text.replace(/\s*dBV$/i, ""), -160, 160, false);
  if (!read.ok || read.value === undefined) return { ok: false, failure: "Write a level like −100 dBV." };
  return { ok: true, value: -Math.abs(read.value) };
}

function WishLine({
  what,
  unit,
  example,
  read,
  label,
  name,
}: {
  what: string;
  unit: string;
  example: string;
  read: (text: string) => Read;
  label: ReactNode;
  /** Of the field, for those who cannot see the words before it. */
  name: string;
}) {
  const [written, setWritten] = useState("");
  const [asked, setAsked] = useState<Wish>();
  const [wrong, setWrong] = useState<string>();
  const id = useId();
  const wish = () => {
    if (written.trim() === "") {
      setAsked(undefined);
      setWrong(undefined);
      return;
    }
    const answer = read(written);
    setWrong(answer.ok ? undefined : answer.failure);
    setAsked(answer.ok ? { what, value: answer.value } : undefined);
  };
  return (
    <form
      className="supply-wish"
      onSubmit={(event) => {
        event.preventDefault();
        wish();
      }}
    >
      <span className="supply-wish-label">{label}</span>
      <input
        id={id}
        className="field"
        aria-label={name}
        aria-invalid={wrong !== undefined}
        placeholder={example}
        value={written}
        autoComplete="off"
        onChange={(event) => setWritten(event.currentTarget.value)}
        onBlur={wish}
      />
      <span className="muted">{unit}</span>
      <button type="submit" className="button">
        Find
      </button>
      <div className="supply-wish-answer">
        {wrong !== undefined && (
          <span className="field-words" role="alert">
            {wrong}
          </span>
        )}
        {wrong === undefined && asked !== undefined && <Answer asked={asked} />}
      </div>
    </form>
  );
}

function Answer({ asked }: { asked: Wish }) {
  const { value, failure, progress, stopped, key } = useAnswer("supplyWish", asked);
  const desk = useDesk();
  if (value !== undefined) return <FixButton fix={value} />;
  if (failure !== undefined) return <span role="status">{failure}</span>;
  if (stopped === true) return <span role="status">Stopped.</span>;
  return (
    <span role="status">
      Trying values…{" "}
      {progress !== undefined && (
        <button type="button" className="button quiet" onClick={() => desk.stop(key)}>
          Stop
        </button>
      )}
    </span>
  );
}
