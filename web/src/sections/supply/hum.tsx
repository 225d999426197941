import { type Finding, supplyHouse } from "@platewright/design";
import { humFigure } from "@platewright/drawing";
import { printValue } from "@platewright/engine";
import { useMemo, useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { LevelSign } from "../../parts/level.tsx";
import { SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { worstOf } from "./levels.ts";
import { Waiting } from "./told.tsx";
import { useFigure } from "./use-figure.ts";
import { dbv, partNames, plainId } from "./words.ts";

const HEIGHT = 66;
/** Quieter lines are in the figures of nobody's meter. */
const FAINT = -140;

type HumAnswer = ValueOf<"supplyHum">;

/** Hum at the output by line and source, with the level control at unity or as set; noise; what was assumed. */
export function Hum({ findings }: { findings: readonly Finding[] }) {
  const [level, setLevel] = useState<"unity" | "as set">("unity");
  const told = useAnswer("supplyHum", { level });
  const { value } = told;
  const { humDecibelVolts } = supplyHouse(useDocument());
  const make = useMemo(
    () => (value === undefined ? undefined : (width: number) => figureOf(value, humDecibelVolts, width)),
    [value, humDecibelVolts],
  );
  const [box, scene] = useFigure(make);
  const worst = worstOf(findings, /^hum$/);
  return (
    <section aria-labelledby="supply-hum">
      <SectionHead
        id="supply-hum"
        title="Hum and noise"
        note={
          value === undefined ? "at the output" : `at the output, level ${value.words}, gain ${value.gain.toFixed(2)}`
        }
        end={
          <span className="supply-ends">
            {worst !== undefined && <LevelSign level={worst} />}
            <Choice
              label="Level control"
              options={[
                { value: "unity", words: "At unity" },
                { value: "as set", words: "As set" },
              ]}
              value={level}
              onChoose={setLevel}
            />
          </span>
        }
      />
      <Waiting told={told} what="Solving hum" />
      <div ref={box} className="supply-plot supply-plot-hum">
        {scene !== undefined && <SceneView scene={scene} />}
      </div>
      {value !== undefined && <Figures value={value} />}
    </section>
  );
}

function Figures({ value }: { value: HumAnswer }) {
  const nameOf = partNames(useDocument());
  const wasOf = (line: HumAnswer["lines"][number]) =>
    value.was.find((one) => one.hertz === line.hertz && one.from === line.from && one.channel === line.channel);
  const channels = new Set(value.lines.map((one) => one.channel)).size;
  return (
    <>
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
            <th scope="col" className="number">
              rms
            </th>
          </tr>
        </thead>
        <tbody>
          {value.lines
            .filter((line) => line.dbv > FAINT)
            .map((line) => {
              const was = wasOf(line);
              return (
                <tr key={`${line.channel} ${line.hertz} ${line.from}`}>
                  <th scope="row">
                    {line.hertz.toFixed(0)}
                    {"\u202f"}Hz{channels > 1 ? `, ${line.channel}` : ""}
                  </th>
                  <td>{line.from === "ripple" ? "ripple of the supply" : "heaters, leakage assumed"}</td>
                  <td className="number muted">{was === undefined ? "–" : dbv(was.dbv)}</td>
                  <td className="number">
                    <b>{dbv(line.dbv)}</b>
                  </td>
                  <td className="number muted">{printValue(line.voltsRms, "V", 2)}</td>
                </tr>
              );
            })}
          {value.noise.flatMap((one) => {
            const was = value.wasNoise.find((other) => other.channel === one.channel);
            const where = channels > 1 ? `, ${one.channel}` : "";
            return [
              <tr key={`${one.channel} flat`}>
                <th scope="row">Noise{where}</th>
                <td>20 Hz to 20 kHz, flat; loudest {nameOf(one.loudest)}</td>
                <td className="number muted">{was === undefined ? "–" : dbv(was.flatDbv)}</td>
                <td className="number">
                  <b>{dbv(one.flatDbv)}</b>
                </td>
                <td className="number muted">{printValue(one.flatVolts, "V", 2)}</td>
              </tr>,
              <tr key={`${one.channel} weighted`}>
                <th scope="row">Noise{where}</th>
                <td>A-weighted</td>
                <td className="number muted">{was === undefined ? "–" : dbv(was.weightedDbv)}</td>
                <td className="number">
                  <b>{dbv(one.weightedDbv)}</b>
                </td>
                <td />
              </tr>,
            ];
          })}
        </tbody>
      </table>
      <p className="supply-note">
        Ripple, rms: {value.ripple.map((one) => `${plainId(one.net)} ${printValue(one.voltsRms, "V", 2)}`).join(", ")}.
        Ripple current:{" "}
        {value.capacitors.map((one) => `${nameOf(one.part)} ${printValue(one.ampsRms, "A", 2)}`).join(", ")}.
        {value.crosstalk.length > 0 &&
          ` One channel in the other through the supply: ${value.crosstalk.map((one) => `${one.decibels.toFixed(0).replace("-", "−")}\u202fdB at ${printValue(one.hertz, "Hz")}`).join(", ")}.`}
      </p>
      <p className="supply-note">
        Assumed, common practice: {printValue(value.assumptions.leakageOhms, "Ω")} and{" "}
        {printValue(value.assumptions.leakageFarads, "F")} from a heater to its cathode,{" "}
        {printValue(value.assumptions.strayFarads, "F")} to a grid, {100 * value.assumptions.balance} % unlike between
        the winding&rsquo;s ends; a tube&rsquo;s own noise 2.5 over its gm, rising below 1{"\u202f"}kHz. Specimens stray
        by some dB.
      </p>
    </>
  );
}

function figureOf(value: HumAnswer, limitDbv: number, width: number) {
  const [first] = value.lines;
  const own = (lines: HumAnswer["lines"]) => lines.filter((one) => one.channel === first?.channel);
  const noise = value.noise[0];
  return humFigure({
    title: "Hum",
    heading: false,
    lines: own(value.lines),
    proven: own(value.was),
    limitDbv,
    ...(noise === undefined ? {} : { noise }),
    width,
    height: HEIGHT,
  });
}
