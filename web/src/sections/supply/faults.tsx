import { printValue } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { Waiting } from "./told.tsx";
import { meter, partNames } from "./words.ts";

const NONE = {};
/** dc at the jack below this harms nothing: common practice. */
const JACK_VOLTS = 1;

type Fault = ValueOf<"supplyFaults">[number];

const harmless = (one: Fault): boolean =>
  one.unsolved === null && one.burns.length === 0 && Math.abs(one.outputVolts) < JACK_VOLTS;

/** Single faults: what each puts past its rating, whether the fuse opens, what reaches the jack, what to do. */
export function Faults() {
  const told = useAnswer("supplyFaults", NONE);
  const { value } = told;
  const document = useDocument();
  const fuse = document.supply?.fuse;
  const nameOf = partNames(document);
  const wordsOf = (one: Fault) => faultWords(one.words, nameOf);
  const shown = (value ?? []).filter((one) => !harmless(one));
  const quiet = (value ?? []).filter(harmless);
  return (
    <section aria-labelledby="supply-faults">
      <SectionHead
        id="supply-faults"
        title="Single faults"
        note={`tubes hot, mains nominal${fuse === undefined ? ", no fuse named" : `, a ${fuse.kind} fuse of ${printValue(fuse.amps, "A")}`}; nothing burns away while it is solved`}
      />
      <Waiting told={told} what="Solving each fault" />
      {value !== undefined && (
        <div className="supply-scroll">
          <table className="supply-faults">
            <thead>
              <tr>
                <th scope="col">Fault</th>
                <th scope="col">Past its rating</th>
                <th scope="col" className="number">
                  Mains
                </th>
                <th scope="col">The fuse</th>
                <th scope="col" className="number">
                  Jack, dc
                </th>
                <th scope="col">What to do</th>
              </tr>
            </thead>
            <tbody>
              {shown.map((one) => (
                <tr key={one.id}>
                  <th scope="row">{wordsOf(one)}</th>
                  <td className="supply-wrap">{burnWords(one, nameOf)}</td>
                  <td className="number">{one.unsolved === null ? printValue(one.mainsAmps, "A", 2) : ""}</td>
                  <td className="supply-wrap">{one.fuse}</td>
                  <td className={`number${Math.abs(one.outputVolts) >= JACK_VOLTS ? " supply-hot" : ""}`}>
                    {one.unsolved === null ? `${meter(one.outputVolts)}\u202fV` : ""}
                  </td>
                  <td className="supply-wrap supply-advice">{one.advice}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {quiet.length > 0 && (
        <p className="supply-note">Nothing past its rating and nothing at the jack: {quiet.map(wordsOf).join(", ")}.</p>
      )}
    </section>
  );
}

type Names = (id: string) => string;

/** Equal channels are asked once: the channel before a part is said only where the name alone could be another's. */
const faultWords = (words: string, nameOf: Names): string =>
  words.replace(/\b[A-Za-z0-9]+\.[A-Z][A-Za-z0-9]*/g, (id) => nameOf(id));

function burnWords({ burns, unsolved }: Fault, nameOf: Names): string {
  if (unsolved !== null) return `not solved: ${unsolved}`;
  if (burns.length === 0) return "nothing";
  const worst = burns.slice(0, 3).map((burn) => `${burnName(burn.part, nameOf)} ${burn.times.toFixed(1)}×`);
  return `${worst.join(", ")}${burns.length > 3 ? `, ${burns.length - 3} more` : ""}`;
}

const MUCH: Readonly<Record<string, string>> = { dcAmps: "dc", peakAmps: "peak", inverseVolts: "peak inverse" };

/** Windings and bottles by what is too much of them; parts by their name. */
function burnName(part: string, nameOf: Names): string {
  if (part === "HT.amps") return "the high tension";
  const [place = "", name = ""] = part.split(".");
  if (name === "amps") return `winding ${place}`;
  return MUCH[name] === undefined ? faultWords(part, nameOf) : `${place} ${MUCH[name]}`;
}
