import type { Finding } from "@platewright/design";
import { startUpFigure, type Warming } from "@platewright/drawing";
import { printValue } from "@platewright/engine";
import { useMemo } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { worstOf } from "./levels.ts";
import { Waiting } from "./told.tsx";
import { useFigure } from "./use-figure.ts";
import { plainId } from "./words.ts";

const NONE = {};
const HEIGHT = 82;

type StartUp = ValueOf<"supplyStartUp">;
type Curves = NonNullable<StartUp["now"]>;

/** From the switch on with mains high: the nets, the ratings they must stay under, and when each cathode wakes. */
export function SwitchOn({ findings }: { findings: readonly Finding[] }) {
  const told = useAnswer("supplyStartUp", NONE);
  const { value } = told;
  const now = value?.now ?? undefined;
  const make = useMemo(
    () => (value === undefined || now === undefined ? undefined : (width: number) => figureOf(value, now, width)),
    [value, now],
  );
  const [box, scene] = useFigure(make);
  const level = worstOf(findings, /^thump$/);
  const highest = (now?.nets ?? []).map((one) => `${plainId(one.net)} ${one.peak.volts.toFixed(0)}\u202fV`).slice(0, 4);
  return (
    <section aria-labelledby="supply-on">
      <SectionHead
        id="supply-on"
        title="Switch-on"
        note={`mains high, from cold${value?.proven == null ? "" : "; now heavy, proven light"}`}
        end={level === undefined ? undefined : <LevelSign level={level} />}
      />
      <Waiting told={told} what="Solving forty seconds" />
      {value !== undefined && now === undefined && <p className="supply-note">The start-up could not be solved.</p>}
      <div ref={box} className="supply-plot supply-plot-on">
        {scene !== undefined && <SceneView scene={scene} />}
      </div>
      {value !== undefined && now !== undefined && (
        <p className="supply-note">
          Highest {highest.join(", ")}; the output jack moves by {printValue(now.thumpVolts, "V", 2)}. Assumed, common
          practice:{" "}
          {now.rectifier === "at once"
            ? "silicon conducts at once"
            : `the rectifier is early, warm from ${now.rectifier.from} to ${now.rectifier.to} s`}
          , the signal tubes late, {now.tubes.from} to {now.tubes.to} s: the pair that leaves the capacitors highest.
          Means of a cycle; half the ripple, {printValue(value.rippleVolts / 2, "V", 2)}, comes on top at the first
          capacitor.
        </p>
      )}
    </section>
  );
}

function figureOf(value: StartUp, now: Curves, width: number) {
  const first = now.nets[0]?.net ?? "";
  const was = value.proven?.nets[0];
  const times = now.seconds;
  const differs =
    was !== undefined && now.nets[0] !== undefined && Math.abs(was.peak.volts - now.nets[0].peak.volts) > 0.5;
  const { firstRating, lowestRating } = value;
  const ratings = [firstRating, lowestRating]
    .filter((one) => one !== null)
    .filter((one, n, all) => all.findIndex((other) => other.volts === one.volts) === n);
  const warming: readonly Warming[] = [
    ...(value.rectifier === null || now.rectifier === "at once"
      ? []
      : [{ label: value.rectifier, ...now.rectifier, ids: [value.rectifier] }]),
    ...(value.bottles.length === 0 ? [] : [{ label: value.bottles.join(", "), ...now.tubes, ids: value.bottles }]),
  ];
  return startUpFigure({
    title: "Switch-on",
    heading: false,
    width,
    height: HEIGHT,
    times,
    series: [
      ...now.nets.map(({ net, volts }, n) => ({
        label: plainId(net),
        volts,
        role: n === 0 ? ("now" as const) : ("ink" as const),
        ...(n === 0 ? {} : { dash: n === 1 ? ("dash" as const) : ("dot" as const) }),
        ids: [net],
      })),
      ...(differs && was !== undefined && value.proven !== null
        ? [
            {
              label: `${plainId(was.net)}, proven`,
              volts: along(times, value.proven.seconds, was.volts),
              role: "proven" as const,
            },
          ]
        : []),
    ],
    limits: ratings.map(({ id, volts }) => ({ volts, words: `${volts} V ${plainId(id)}` })),
    marks: [{ trace: plainId(first), at: "peak" }],
    warming,
  });
}

/** Values of one curve at the times of another, straight between its points. */
export function along(times: readonly number[], from: readonly number[], values: readonly number[]): readonly number[] {
  let n = 0;
  return times.map((time) => {
    while (n < from.length - 2 && (from[n + 1] ?? 0) < time) n++;
    const [t0, t1] = [from[n] ?? 0, from[n + 1] ?? 0];
    const [v0, v1] = [values[n] ?? 0, values[n + 1] ?? values[n] ?? 0];
    const share = t1 > t0 ? Math.min(1, Math.max(0, (time - t0) / (t1 - t0))) : 0;
    return v0 + share * (v1 - v0);
  });
}
