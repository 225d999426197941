import { CAUTION_LINES, CAUTION_TITLE, type Finding, HAZARDOUS_VOLTS, supplyHouse } from "@platewright/design";
import { dischargeFigure } from "@platewright/drawing";
import { printValue } from "@platewright/engine";
import { useMemo } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { worstOf } from "./levels.ts";
import { Waiting } from "./told.tsx";
import { useFigure } from "./use-figure.ts";
import { capital } from "../../parts/capital.ts";
import { plainId, secondsWords } from "./words.ts";

const NONE = {};
const HEIGHT = 52;

type Off = ValueOf<"supplyOff">;

/** How long the charge stays, and the caution that stands wherever someone could reach for it. */
export function SwitchOff({ findings }: { findings: readonly Finding[] }) {
  const told = useAnswer("supplyOff", NONE);
  const { value } = told;
  const document = useDocument();
  const { dischargeSeconds } = supplyHouse(document);
  const make = useMemo(
    () => (value?.cold == null ? undefined : (width: number) => figureOf(value, dischargeSeconds, width)),
    [value, dischargeSeconds],
  );
  const [box, scene] = useFigure(make);
  const level = worstOf(findings, /^discharge$/);
  const cold = value?.cold ?? undefined;
  const hot = value?.hot ?? undefined;
  const was = value?.was ?? undefined;
  return (
    <section aria-labelledby="supply-off">
      <SectionHead
        id="supply-off"
        title="Switch-off"
        note={
          cold === undefined ? undefined : (
            <>
              <b className="supply-key">
                {secondsWords(cold.seconds)} to {HAZARDOUS_VOLTS}
                {"\u202f"}V
              </b>
              , {dischargeSeconds}
              {"\u202f"}s asked
              {was === undefined || secondsWords(was.seconds) === secondsWords(cold.seconds)
                ? ""
                : `, was ${secondsWords(was.seconds)}`}
            </>
          )
        }
        end={level === undefined ? undefined : <LevelSign level={level} />}
      />
      <Waiting told={told} what="Solving the discharge" />
      <div ref={box} className="supply-plot supply-plot-off">
        {scene !== undefined && <SceneView scene={scene} />}
      </div>
      {cold !== undefined && (
        <p className="supply-note">
          {capital(cold.words)}: {cold.net === "" ? "no net" : plainId(cold.net)} holds longest, from{" "}
          {cold.fromVolts.toFixed(0)}
          {"\u202f"}V; {printValue(cold.joules, "J", 2)} and {printValue(cold.coulombs, "C", 2)} are stored.
          Electrolytics leak as 20{"\u202f"}MΩ together: assumed, the high end.
          {hot !== undefined &&
            ` ${capital(hot.words)}: ${secondsWords(hot.seconds)} from ${printValue(hot.joules, "J", 2)}; the output jack moves by ${printValue(hot.thumpVolts, "V", 2)}.`}
        </p>
      )}
      <aside className="caution" aria-label="Caution">
        <strong>{CAUTION_TITLE}</strong>
        {CAUTION_LINES.map((line) => (
          <p key={line}>{line}</p>
        ))}
      </aside>
    </section>
  );
}

function figureOf({ cold, was }: Off, limitSeconds: number, width: number) {
  const course = (one: NonNullable<Off["cold"]>) => ({ ...one.course, reached: one.seconds });
  return dischargeFigure({
    title: "Switch-off",
    heading: false,
    label: plainId(cold?.net ?? ""),
    now: cold === null ? { seconds: [0], volts: [0], reached: null } : course(cold),
    ...(was === null ? {} : { proven: course(was) }),
    touchVolts: HAZARDOUS_VOLTS,
    limitSeconds,
    width,
    height: HEIGHT,
  });
}
