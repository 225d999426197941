import { CAUTION_SHORT } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { NumberField } from "./number-field.tsx";
import { supplyEdit } from "./supply-edits.ts";
import { Waiting } from "./told.tsx";
import { useEdits } from "../../state/use-edits.ts";
import { meter } from "./words.ts";

const NONE = {};
/** A lamp that the document does not name. */
const USUAL_WATTS = 60;

const HEADS: Readonly<Record<string, string>> = {
  "lamp-no-tubes": "1. No tubes",
  "lamp-rectifier": "2. Rectifier only",
  "lamp-all": "3. All tubes",
};

/** First power behind a lamp: what the meter should read at each of three steps. */
export function FirstPower() {
  const told = useAnswer("supplyLamp", NONE);
  const { value } = told;
  const { supply } = useDocument();
  const edits = useEdits();
  const watts = supply?.lamp?.watts ?? USUAL_WATTS;
  return (
    <section aria-labelledby="supply-lamp">
      <SectionHead
        id="supply-lamp"
        title="First power"
        note={`behind a lamp of ${printValue(watts, "W")} in the live lead`}
        end={
          <span className="no-print">
            <NumberField
              label="Lamp"
              unit="W"
              quantity="power"
              value={watts}
              least={5}
              most={1000}
              onKeep={(next) => {
                if (next !== undefined)
                  edits.keep(
                    supplyEdit(edits.kept(), `Bench lamp ${watts} W → ${next} W`, (one) => ({
                      ...one,
                      lamp: { volts: one.lamp?.volts ?? one.mains.volts, watts: next },
                    })),
                  );
              }}
            />
          </span>
        }
      />
      <Waiting told={told} what="Solving behind the lamp" />
      {value !== undefined && (
        <table>
          <thead>
            <tr>
              <th scope="col">Should read, V</th>
              {value.steps.map((step) => (
                <th key={step.id} scope="col" className="number">
                  {HEADS[step.id] ?? step.id}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            <tr className="supply-heavy">
              <th scope="row">Across the lamp</th>
              {value.steps.map((step) => (
                <td key={step.id} className="number">
                  {meter(step.lampVolts)}
                </td>
              ))}
            </tr>
            {value.nodes.map((node) => (
              <tr key={node.id}>
                <th scope="row">{node.words}</th>
                {node.volts.map((volts, n) => (
                  <td key={n} className="number">
                    {volts === null ? "–" : meter(volts)}
                  </td>
                ))}
              </tr>
            ))}
            <tr>
              <th scope="row">From the mains</th>
              {value.steps.map((step) => (
                <td key={step.id} className="number">
                  {step.mainsWatts.toFixed(0)}
                  {"\u202f"}W, {printValue(step.mainsAmps, "A", 2)}
                </td>
              ))}
            </tr>
          </tbody>
        </table>
      )}
      <p className="supply-note">
        A lamp that glows brightly says something draws too much: switch off, unplug, wait, measure. Tungsten passes its
        current by volts to the power 0.55: assumed, common practice.
      </p>
      <p className="caution">{CAUTION_SHORT}</p>
    </section>
  );
}
