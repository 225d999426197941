import { printValue } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAnswer } from "../../worker/use-answer.ts";

/** Hum lines and noise at the output, with what is assumed said beside them. */
export function Hum() {
  const { value } = useAnswer("supplyFigures", {});
  const hum = value?.hum;
  if (hum === undefined || hum === null) return null;
  const wasOf = (line: (typeof hum.lines)[number]) =>
    hum.was.find((one) => one.hertz === line.hertz && one.from === line.from && one.channel === line.channel);
  return (
    <section aria-labelledby="supply-hum">
      <SectionHead id="supply-hum" title="Hum and noise" note={`at the output, level at ${hum.words}`} />
      <table>
        <thead>
          <tr>
            <th scope="col">Line</th>
            <th scope="col">From</th>
            <th scope="col" className="number">
              Proven
            </th>
            <th scope="col" className="number">
              Now
            </th>
          </tr>
        </thead>
        <tbody>
          {hum.lines.map((line) => {
            const was = wasOf(line);
            return (
              <tr key={`${line.channel} ${line.hertz} ${line.from}`}>
                <th scope="row">{line.hertz.toFixed(0)} Hz</th>
                <td>{line.from === "ripple" ? "ripple" : "heaters, assumed"}</td>
                <td className="number muted">{was === undefined ? "–" : dbv(was.dbv)}</td>
                <td className="number">
                  <b>{dbv(line.dbv)}</b>
                </td>
              </tr>
            );
          })}
          {hum.noise.map((one) => (
            <tr key={one.channel}>
              <th scope="row">Noise</th>
              <td className="supply-wrap">20 Hz to 20 kHz; loudest {one.loudest}</td>
              <td className="number muted">A {dbv(one.weightedDbv)}</td>
              <td className="number">
                <b>{dbv(one.flatDbv)}</b>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="supply-note">
        Ripple, rms: {hum.ripple.map((one) => `${one.net} ${printValue(one.voltsRms, "V", 2)}`).join(", ")}.
        {hum.crosstalk.length > 0 &&
          ` One channel in the other through the supply: ${hum.crosstalk.map((one) => `${one.decibels.toFixed(0).replace("-", "−")} dB at ${printValue(one.hertz, "Hz")}`).join(", ")}.`}
      </p>
      <p className="supply-note">
        Assumed, common practice: {printValue(hum.assumptions.leakageOhms, "Ω")} from a heater to its cathode,{" "}
        {printValue(hum.assumptions.strayFarads, "F")} to a grid, {100 * hum.assumptions.balance} % unlike between the
        winding&rsquo;s ends; a tube&rsquo;s own noise from its gm. Specimens stray.
      </p>
    </section>
  );
}

const dbv = (value: number): string => `${value.toFixed(0).replace("-", "−")}\u202fdBV`;
