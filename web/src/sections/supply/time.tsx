import { mainsCycleFigure, type Scene, startUpFigure } from "@platewright/drawing";
import { printValue } from "@platewright/engine";
import { useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useAnswer } from "../../worker/use-answer.ts";

/** Height of a plot on the sheet, millimetres. */
const PLOT_HEIGHT = 70;
/** Two panels, volts above amperes. */
const CYCLE_HEIGHT = 88;
/** A sheet narrower than this has no room for a plot. */
const LEAST_WIDTH = 90;

/** The drawn figure at the width that the box gets; undefined while there is no room or nothing to draw. */
function useFigure(width: number, make: (width: number) => Scene | undefined): Scene | undefined {
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  return useMemo(() => (millimetres < LEAST_WIDTH ? undefined : make(millimetres)), [millimetres, make]);
}

export function SwitchOn() {
  const { value, failure } = useAnswer("supplyStartUp", {});
  const [box, { width }] = useSize<HTMLDivElement>();
  const make = useMemo(
    () => (millimetres: number) => {
      const now = value?.now;
      if (now === undefined || now === null) return undefined;
      const first = now.nets[0]?.net ?? "";
      const was = value?.proven?.nets[0];
      const times = [...now.seconds];
      return startUpFigure({
        title: "After switching on",
        heading: false,
        legend: "mains high; Now heavy, Proven light",
        width: millimetres,
        height: PLOT_HEIGHT,
        times,
        series: [
          ...now.nets.map(({ net, volts }, n) => ({
            label: net,
            volts: [...volts],
            role: n === 0 ? ("now" as const) : ("ink" as const),
          })),
          ...(was === undefined || value?.proven === null || value?.proven === undefined
            ? []
            : [
                {
                  label: `${was.net}, proven`,
                  volts: along(times, [...value.proven.seconds], [...was.volts]),
                  role: "proven" as const,
                },
              ]),
        ],
        ...(value?.lowestRatingVolts === null || value?.lowestRatingVolts === undefined
          ? {}
          : { limits: [{ volts: value.lowestRatingVolts, words: `${value.lowestRatingVolts} V capacitors` }] }),
        marks: [{ trace: first, at: "peak" }],
      });
    },
    [value],
  );
  const scene = useFigure(width, make);
  const now = value?.now;
  return (
    <section aria-labelledby="supply-on">
      <SectionHead
        id="supply-on"
        title="Switch-on"
        note={
          now === undefined || now === null
            ? undefined
            : `mains high, ${now.rectifier === "at once" ? "silicon at once" : `rectifier warm by ${now.rectifier.to} s`}, signal tubes by ${now.tubes.to} s: common practice for early and late`
        }
        end={now === undefined || now === null ? undefined : `output jack moves ${printValue(now.thumpVolts, "V", 2)}`}
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      <div ref={box} className="supply-plot">
        {scene !== undefined && <SceneView scene={scene} />}
      </div>
    </section>
  );
}

/** Values of one curve at the times of another, straight between its points. */
function along(times: readonly number[], from: readonly number[], values: readonly number[]): number[] {
  let n = 0;
  return times.map((time) => {
    while (n < from.length - 2 && (from[n + 1] ?? 0) < time) n++;
    const [t0, t1] = [from[n] ?? 0, from[n + 1] ?? 0];
    const [v0, v1] = [values[n] ?? 0, values[n + 1] ?? values[n] ?? 0];
    const share = t1 > t0 ? Math.min(1, Math.max(0, (time - t0) / (t1 - t0))) : 0;
    return v0 + share * (v1 - v0);
  });
}

export function OneCycle() {
  const { value, failure } = useAnswer("supplyCycle", {});
  const [box, { width }] = useSize<HTMLDivElement>();
  const make = useMemo(
    () => (millimetres: number) =>
      value === undefined
        ? undefined
        : mainsCycleFigure({
            title: "One mains cycle",
            heading: false,
            legend: "warm, mains nominal",
            width: millimetres,
            height: CYCLE_HEIGHT,
            times: [...value.seconds],
            series: [
              { label: "winding", volts: [...value.windingVolts] },
              { label: value.net, volts: [...value.firstCapacitorVolts], role: "now" as const },
              ...value.pathAmps.map((amps, n) => ({
                label: n === 0 ? "first path" : "second path",
                amps: [...amps],
                role: n === 0 ? ("now" as const) : ("ink" as const),
              })),
            ],
          }),
    [value],
  );
  const scene = useFigure(width, make);
  return (
    <section aria-labelledby="supply-cycle">
      <SectionHead id="supply-cycle" title="One cycle" note="winding, first capacitor, current of each path" />
      {failure !== undefined && <p role="status">{failure}</p>}
      <div ref={box} className="supply-plot">
        {scene !== undefined && <SceneView scene={scene} />}
      </div>
    </section>
  );
}

export function SwitchOff() {
  const { value } = useAnswer("supplyFigures", {});
  const { discharge, dischargeHot, provenDischarge } = value ?? {};
  if (discharge === undefined || discharge === null) return null;
  const seconds = (one: number | null) => (one === null ? "more than ten minutes" : `${one.toFixed(0)} s`);
  return (
    <section aria-labelledby="supply-off">
      <SectionHead id="supply-off" title="Switch-off" />
      <p className="supply-big">
        <b>{seconds(discharge.seconds)}</b> to 60 V
        {provenDischarge !== undefined && provenDischarge !== null && (
          <span className="muted"> was {seconds(provenDischarge.seconds)}</span>
        )}
      </p>
      <p className="supply-note">
        {discharge.words}: {discharge.net} last, from {discharge.fromVolts.toFixed(0)} V with{" "}
        {printValue(discharge.joules, "J", 2)} stored. Measure before touching, whatever the clock says.
      </p>
      {dischargeHot !== undefined && dischargeHot !== null && (
        <p className="supply-note">
          {dischargeHot.words}: {seconds(dischargeHot.seconds)}; the output jack moves{" "}
          {printValue(dischargeHot.thumpVolts, "V", 2)}.
        </p>
      )}
    </section>
  );
}
