import { mainsCycleFigure } from "@platewright/drawing";
import { useMemo } from "react";
import { SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useDocument } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { Waiting } from "./told.tsx";
import { useFigure } from "./use-figure.ts";

const NONE = {};
const HEIGHT = 84;

type Cycles = ValueOf<"supplyCycle">;

/** The settled rectifier over one cycle: winding and first capacitor above, the pulses below. */
export function OneCycle() {
  const told = useAnswer("supplyCycle", NONE);
  const { value } = told;
  const net = useDocument().supply?.rectifier.output ?? "";
  const make = useMemo(
    () => (value === undefined ? undefined : (width: number) => figureOf(value, net, width)),
    [value, net],
  );
  const [box, scene] = useFigure(make);
  return (
    <section aria-labelledby="supply-cycle">
      <SectionHead id="supply-cycle" title="One mains cycle" note="nominal: winding, first capacitor, each path" />
      <Waiting told={told} what="Solving one cycle" />
      <div ref={box} className="supply-plot supply-plot-cycle">
        {scene !== undefined && <SceneView scene={scene} />}
      </div>
    </section>
  );
}

function figureOf({ now, was }: Cycles, net: string, width: number) {
  const mean = (values: readonly number[]) => values.reduce((sum, one) => sum + one, 0) / Math.max(1, values.length);
  const differs =
    was !== null &&
    was.seconds.length === now.seconds.length &&
    Math.abs(mean(was.firstCapacitorVolts) - mean(now.firstCapacitorVolts)) > 0.5;
  return mainsCycleFigure({
    title: "One mains cycle",
    heading: false,
    width,
    height: HEIGHT,
    times: now.seconds,
    series: [
      { label: "winding", volts: now.windingVolts },
      ...(differs ? [{ label: `${net}, proven`, volts: was.firstCapacitorVolts, role: "proven" as const }] : []),
      { label: net, volts: now.firstCapacitorVolts, role: "now" as const },
      ...(differs && was.pathAmps[0] !== undefined
        ? [{ label: "proven", amps: was.pathAmps[0], role: "proven" as const }]
        : []),
      ...now.pathAmps.map((amps, n) => ({
        label: n === 0 ? "first path" : "second path",
        amps,
        role: n === 0 ? ("now" as const) : ("ink" as const),
        ...(n === 0 ? {} : { dash: "dash" as const }),
      })),
    ],
  });
}
