import { CAUTION_SHORT, type Document } from "@platewright/design";
import type { Said, SchematicFacts } from "@platewright/drawing";
import type { Pointed } from "./drawing.tsx";
import type { PartFacts } from "./part-facts.ts";
import { netWords } from "./net-words.ts";
import { percentWords, printed, thin } from "./words.ts";

/** The part or the node under the pointer or the keyboard, in a builder's words; the caution when there is none. */
export function Explain({
  pointed,
  document,
  instance,
  parts,
  facts,
  levels,
}: {
  pointed: Pointed | undefined;
  document: Document;
  instance: string;
  parts: readonly PartFacts[] | undefined;
  facts: SchematicFacts | undefined;
  levels: Readonly<Record<string, Said>> | undefined;
}) {
  if (pointed === undefined) return <p className="circuit-explain muted">{CAUTION_SHORT}</p>;
  if ("net" in pointed) {
    const { net } = pointed;
    const said = facts?.volts[net];
    const signal = levels?.[net];
    return (
      <p className="circuit-explain" id="circuit-explain">
        <b>{netWords(document, instance, net)}</b>{" "}
        {said === undefined
          ? "at no dc volts"
          : `${said.now} to ground${said.was === undefined ? "" : `, was ${said.was}`}`}
        {said?.dangerous === true && <b> dangerous to touch</b>}
        {signal !== undefined && `; signal ${signal.now} rms`}
      </p>
    );
  }
  const part = parts?.find(({ id }) => id === pointed.part);
  if (part === undefined) return <p className="circuit-explain">{elsewhere(document, pointed.part)}</p>;
  return (
    <p className="circuit-explain" id="circuit-explain">
      <b>
        {part.part}
        {part.value === null ? "" : ` ${part.value}`}
      </b>{" "}
      {part.role}. {thin(part.does)} <span className="muted">{ratingWords(part)}</span>
    </p>
  );
}

/** "±1 %, 0.5 W; takes 35 mW, 7 %". */
export function ratingWords({ tolerancePercent, rating, stress }: PartFacts): string {
  const written = [tolerancePercent === null ? "" : `±${tolerancePercent}\u202f%`, rating ?? ""]
    .filter(Boolean)
    .join(", ");
  if (stress === null) return written;
  const share =
    stress.limit === null
      ? ""
      : ` of ${printed(stress.limit, stress.unit)}, ${percentWords(stress.value / stress.limit)}`;
  return [
    rating === null ? written : written.replace(rating, "").replace(/, $/, ""),
    `${printed(stress.value, stress.unit)}${share}`,
  ]
    .filter(Boolean)
    .join("; ");
}

/** What stands in front of a supply's first capacitor is worked on elsewhere. */
function elsewhere(document: Document, id: string): string {
  const bottle = document.envelopes.find((one) => one.id === id);
  if (bottle !== undefined) return `${bottle.id} ${bottle.type}, the rectifier: see Supply.`;
  return id === "transformer" ? "The power transformer: see Supply." : "Part of the rectifier: see Supply.";
}
