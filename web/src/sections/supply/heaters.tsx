import type { Finding } from "@platewright/design";
import { elevationFigure } from "@platewright/drawing";
import { printValue } from "@platewright/engine";
import { useMemo } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { Waiting } from "./told.tsx";
import { useFigure } from "./use-figure.ts";
import { plainId } from "./words.ts";

const NONE = {};
/** Off by this share a pin is watched, and stopped: common practice, as the findings judge. */
const OFF = 0.05;

type Heaters = ValueOf<"supplyHeaters">;

/** What each bottle's heater gets in every condition of the mains, what cold ones draw, and the window of elevation. */
export function HeaterTable({ findings }: { findings: readonly Finding[] }) {
  const told = useAnswer("supplyHeaters", NONE);
  const { value } = told;
  const nominal = value?.conditions.find((one) => one.id === "nominal");
  return (
    <section aria-labelledby="supply-heaters">
      <SectionHead id="supply-heaters" title="Heaters" note="V at the pins, as wired; bold: more than 5 % off" />
      <Waiting told={told} what="Solving the heaters" />
      {nominal?.windings.length === 0 && <p className="supply-note">No heater winding.</p>}
      {value !== undefined && nominal !== undefined && nominal.windings.length > 0 && (
        <>
          <table className="supply-heaters">
            <thead>
              <tr>
                <th scope="col">Winding, bottle</th>
                <th scope="col" className="number">
                  Draws
                </th>
                {value.conditions.map((one) => (
                  <th key={one.id} scope="col" className="number">
                    {one.head}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {nominal.windings.flatMap((winding) => [
                <tr key={winding.winding} className="supply-heavy">
                  <th scope="row">{winding.winding}</th>
                  <td className="number">
                    {printValue(winding.amps, "A")} of {printValue(winding.ratedAmps, "A")}
                  </td>
                  {value.conditions.map((one) => (
                    <td key={one.id} className="number">
                      {two(one.windings.find((other) => other.winding === winding.winding)?.volts)}
                    </td>
                  ))}
                </tr>,
                ...winding.envelopes.map((tube) => (
                  <tr key={tube.envelope}>
                    <th scope="row">
                      {tube.envelope}, wants {tube.wantedVolts}
                      {"\u202f"}V
                    </th>
                    <td className="number">{printValue(tube.amps, "A")}</td>
                    {value.conditions.map((one) => {
                      const here = one.windings
                        .find((other) => other.winding === winding.winding)
                        ?.envelopes.find((other) => other.envelope === tube.envelope);
                      const off = here !== undefined && Math.abs(here.volts / here.wantedVolts - 1) > OFF;
                      return (
                        <td key={one.id} className={off ? "number supply-hot" : "number"}>
                          {two(here?.volts)}
                        </td>
                      );
                    })}
                  </tr>
                )),
              ])}
            </tbody>
          </table>
          {value.places.map((place) => (
            <Place
              key={place.winding}
              place={place}
              was={value.was.find((one) => one.winding === place.winding)?.referenceVolts}
              findings={findings}
            />
          ))}
        </>
      )}
    </section>
  );
}

const two = (volts: number | undefined): string => (volts === undefined ? "–" : volts.toFixed(2));
const plain = (value: number, unit: string): string => printValue(value, unit, 3);

/** Where the winding's reference stands in the window that keeps every tube on it legal. */
function Place({
  place,
  was,
  findings,
}: {
  place: Heaters["places"][number];
  was: number | undefined;
  findings: readonly Finding[];
}) {
  const live = useSession((session) => session.hand !== undefined);
  const { window, setLow, setHigh, winding, volts, inrushAmps } = place;
  const level = findings.find((one) => one.rule.startsWith("elevation") && one.where === winding)?.level;
  const [lowSource, highSource] = place.sources;
  const moved = was !== undefined && Math.abs(was - volts) > 0.05;
  const make = useMemo(
    () =>
      window === undefined
        ? undefined
        : (width: number) =>
            elevationFigure({
              title: `Elevation of ${winding}`,
              volts,
              low: window.low,
              ...(window.high === undefined ? {} : { high: window.high }),
              ...(moved ? { proven: was } : {}),
              ...(setLow === undefined ? {} : { lowWords: shortEdge(setLow) }),
              ...(setHigh === undefined ? {} : { highWords: shortEdge(setHigh) }),
              live: live && moved,
              width: Math.min(width, WIDEST),
            }),
    [window, winding, volts, was, moved, setLow, setHigh, live],
  );
  const [box, scene] = useFigure(make);
  return (
    <div className="supply-place">
      <p>
        <b>
          {winding} {place.reference === "0" ? "at ground" : `lifted by ${place.reference} to ${plain(volts, "V")}`}
        </b>{" "}
        {moved && <span className="muted">was {plain(was, "V")} </span>}
        {level !== undefined && <LevelSign level={level} />}
      </p>
      <div ref={box}>{scene !== undefined && <SceneView scene={scene} />}</div>
      {window !== undefined && (
        <p className="supply-note">
          {setLow !== undefined && `Lowest by ${edgeWords(setLow, lowSource)}. `}
          {setHigh !== undefined && `Highest by ${edgeWords(setHigh, highSource)}. `}
          {!window.verified && "A limit in it is unverified."}
        </p>
      )}
      {place.conflicts.map((one) => (
        <p key={one} className="supply-note">
          <LevelSign level="stop" words="no window" /> {one}
        </p>
      ))}
      {inrushAmps !== undefined && (
        <p className="supply-note">
          Cold heaters draw {plain(inrushAmps[0], "A")} to {plain(inrushAmps[1], "A")} at switch-on: 2.7 to 7.2 times
          lower in resistance, assumed, common practice.
        </p>
      )}
    </div>
  );
}

/** Millimetres; wider says no more. */
const WIDEST = 170;

type Edge = NonNullable<Heaters["places"][number]["setLow"]>;
const shortEdge = ({ section, condition }: Edge): string =>
  `${plainId(section)} ${condition.startsWith("cold") ? "cold" : "running"}`;
const edgeWords = (one: Edge, source: string | null | undefined): string =>
  `${plainId(one.section)} (${one.tube}), ${one.condition}, ${one.measure}, ${plain(one.limitVolts, "V")}${source == null ? "" : ` by ${source}`}`;
