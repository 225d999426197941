import { printValue } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAnswer } from "../../worker/use-answer.ts";

/** Volts at the heaters' pins in each condition of the mains, and what the windings stand at. */
export function Heaters() {
  const { value } = useAnswer("supplyFigures", {});
  const nominal = value?.heaters.find((one) => one.head === "Nominal");
  if (value === undefined || nominal === undefined || nominal.windings.length === 0) return null;
  return (
    <section aria-labelledby="supply-heaters">
      <SectionHead id="supply-heaters" title="Heaters" note="volts at the pins" />
      <table>
        <thead>
          <tr>
            <th scope="col">Bottle</th>
            <th scope="col" className="number">
              Draws
            </th>
            {value.heaters.map((one) => (
              <th key={one.head} scope="col" className="number">
                {one.head.replace("Mains ", "").replace("Tubes ", "")}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {nominal.windings.flatMap((winding) => [
            <tr key={winding.winding}>
              <th scope="row">
                {winding.winding}, at {printValue(winding.referenceVolts, "V")}
              </th>
              <td className="number">{printValue(winding.amps, "A")}</td>
              {value.heaters.map((one) => (
                <td key={one.head} className="number">
                  {(one.windings.find((other) => other.winding === winding.winding)?.volts ?? Number.NaN).toFixed(2)}
                </td>
              ))}
            </tr>,
            ...winding.envelopes.map((tube) => (
              <tr key={tube.envelope}>
                <th scope="row">
                  {tube.envelope}, wants {tube.wantedVolts} V
                </th>
                <td className="number">{printValue(tube.amps, "A")}</td>
                {value.heaters.map((one) => {
                  const here = one.windings
                    .find((other) => other.winding === winding.winding)
                    ?.envelopes.find((other) => other.envelope === tube.envelope);
                  return (
                    <td key={one.head} className="number">
                      {here === undefined ? "–" : here.volts.toFixed(2)}
                    </td>
                  );
                })}
              </tr>
            )),
          ])}
        </tbody>
      </table>
    </section>
  );
}

/** First power behind a lamp: what the meter should read at each step. */
export function FirstPower() {
  const { value } = useAnswer("supplyFigures", {});
  if (value === undefined || value.lamp.length === 0) return null;
  return (
    <section aria-labelledby="supply-lamp">
      <SectionHead
        id="supply-lamp"
        title="First power"
        note={`behind a ${value.lampWatts} W lamp in the mains lead: what the meter should read`}
      />
      <table>
        <thead>
          <tr>
            <th scope="col">Step</th>
            <th scope="col" className="number">
              Lamp takes
            </th>
            <th scope="col" className="number">
              Mains
            </th>
            {(value.lamp[0]?.nodes ?? []).map((one) => (
              <th key={one.net} scope="col" className="number">
                {one.net}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {value.lamp.map((step) => (
            <tr key={step.words}>
              <th scope="row">{step.words}</th>
              <td className="number">{step.lampVolts.toFixed(0)} V</td>
              <td className="number">{printValue(step.mainsAmps, "A", 2)}</td>
              {step.nodes.map((one) => (
                <td key={one.net} className="number">
                  {one.volts === null ? "–" : `${one.volts.toFixed(0)} V`}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
