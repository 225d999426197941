import { barsFigure, cycleFigure } from "@platewright/drawing";
import { useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { useKept } from "../../state/use-kept.ts";
import type { At } from "./channels.ts";
import { calibratedAt } from "./size-at.ts";
import { useLast } from "./use-last.ts";
import { changeWords, dbc, decibelWords, decibelsOf, inDbu, percent, percentWords, quantity } from "./words.ts";

type Level = ValueOf<"voicingAt">;
type Known = ValueOf<"voicingCalibrated">["now"][number];

/** H2 to H5. */
const ROWS = 4;

/** One level: harmonics now and proven, bars, and one cycle with the fundamental taken away. */
export function AtLevel({ at, inputVolts }: { at: At; inputVolts: number }) {
  const { value: newest, fresh, failure } = useAnswer("voicingAt", { ...at, inputVolts });
  const { value: calibrated } = useAnswer("voicingCalibrated", at);
  const level = useLast(newest);
  const kept = useKept(level, fresh);
  const known = calibrated === undefined ? undefined : calibratedAt(calibrated.now, inputVolts);
  return (
    <>
      <section aria-labelledby="voicing-at">
        <SectionHead
          id="voicing-at"
          title="At this drive"
          end={level === undefined ? "" : `${quantity(level.gridVolts, "V")} at the grid`}
        />
        {failure !== undefined && <p role="status">{failure}</p>}
        {level !== undefined && (
          <Head level={level} kept={kept} known={known} read={calibrated?.readings.some((one) => one.used) === true} />
        )}
        {level !== undefined && <Harmonics level={level} kept={kept} band={known?.bandDecibels} />}
      </section>
      {level !== undefined && <Bars level={level} />}
      {level !== undefined && <Cycle level={level} />}
    </>
  );
}

/** A figure that the edit in hand moves. */
const moved = (now: number | undefined, kept: number | undefined): boolean =>
  now !== undefined && kept !== undefined && Math.abs(now - kept) > 5e-4 * Math.abs(kept);

function Head({
  level,
  kept,
  known,
  read,
}: {
  level: Level;
  kept: Level | undefined;
  /** What law, specimens and readings make of H2 near this level. */
  known: Known | undefined;
  read: boolean;
}) {
  const [h2 = 0] = level.signed;
  const wasH2 = level.was?.signed[0];
  const band = known?.bandDecibels ?? level.bandDecibels[0] ?? null;
  const centre = Math.abs(h2) * (known === undefined ? 1 : known.ratio / known.predictedRatio);
  const [low, high] = [-1, 1].map((sign) => percentWords(centre * 10 ** ((sign * (band ?? 0)) / 20)));
  return (
    <p className="voicing-big">
      <b className={moved(h2, kept?.signed[0]) ? "live" : undefined}>H2 {percent(h2)}</b>
      <span className="muted">
        {band !== null && (
          <span title="Nine tubes of ten are expected within: the fit of the law, and how specimens differ.">
            {read
              ? `${percentWords(centre)} with your readings, ${low} to ${high}`
              : `${low} to ${high}, 9 tubes of 10`}
          </span>
        )}
        {wasH2 !== undefined && (
          <span>
            Proven {percent(wasH2)}, {changeWords(h2, wasH2)}
          </span>
        )}
      </span>
    </p>
  );
}

function Harmonics({
  level,
  kept,
  band,
}: {
  level: Level;
  kept: Level | undefined;
  /** Of H2, dB, when it is known better than from the type's record. */
  band: number | undefined;
}) {
  const rows = Array.from({ length: ROWS }, (_, k) => ({
    name: `H${k + 2}`,
    now: level.signed[k] ?? 0,
    kept: kept?.signed[k],
    band: (k === 0 ? band : undefined) ?? level.bandDecibels[k] ?? null,
    was: level.was?.signed[k],
  }));
  const total = { name: "Total", now: level.total, kept: kept?.total, band: null, was: level.was?.total };
  const turned = rows
    .slice(0, 2)
    .some((row) => row.was !== undefined && row.was * row.now < 0 && decibelsOf(row.now) > -90);
  return (
    <>
      <table className="voicing-harmonics">
        <thead>
          <tr>
            <th scope="col">
              <span className="unseen">Harmonic</span>
            </th>
            <th scope="col" className="number">
              Now
            </th>
            <th scope="col" className="number">
              dBc
            </th>
            <th scope="col" className="number">
              ± dB
            </th>
            <th scope="col" className="number">
              Proven
            </th>
            <th scope="col" className="number">
              dBc
            </th>
          </tr>
        </thead>
        <tbody>
          {[...rows, total].map((row) => (
            <tr key={row.name}>
              <th scope="row">
                {row.name}
                {row.name !== "Total" && <Sign value={row.now} />}
              </th>
              <td className={moved(row.now, row.kept) ? "number live" : "number"}>
                <b>{percent(row.now)}</b>
              </td>
              <td className={moved(row.now, row.kept) ? "number live" : "number"}>
                <b>{dbc(row.now)}</b>
              </td>
              <td className="number">{row.band === null ? "" : row.band.toFixed(1)}</td>
              <td className="number muted">{row.was === undefined ? "–" : percent(row.was)}</td>
              <td className="number muted">{row.was === undefined ? "–" : dbc(row.was)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="voicing-note">
        + adds to the upper peak at the output, − to the lower. Out: {quantity(level.outputVolts, "V")},{" "}
        {inDbu(level.outputVolts)}
        {level.was === null ? "" : `; was ${quantity(level.was.outputVolts, "V")}`}.
        {turned && " Where the sign is not the proven one, equal size does not sound equal."}
        {level.outcome === "tail-not-reached" &&
          ` Clipped: what was left out stands ${decibelWords(level.tailDecibels, 0)} to the fundamental.`}
      </p>
    </>
  );
}

const Sign = ({ value }: { value: number }) => (
  <span className="muted voicing-sign" title={value < 0 ? "adds to the lower peak" : "adds to the upper peak"}>
    {decibelsOf(value) < -130 ? "" : value < 0 ? "−" : "+"}
  </span>
);

const BARS_HEIGHT = 42;
const BARS_FLOOR = -120;

/** Harmonics as bars in dBc; hollow is proven. */
function Bars({ level }: { level: Level }) {
  const [box, { width }] = useSize<HTMLDivElement>();
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  const scene = useMemo(() => {
    if (millimetres < 60) return undefined;
    const { was } = level;
    return barsFigure({
      title: "Harmonics",
      unit: "dBc",
      width: millimetres,
      height: BARS_HEIGHT,
      floor: BARS_FLOOR,
      top: 0,
      step: 40,
      bars: [
        { name: "1 kHz", now: 0, ...(was === null ? {} : { proven: 0 }), said: false },
        ...level.signed.map((ratio, k) => ({
          name: `H${k + 2}`,
          now: decibelsOf(ratio),
          ...(was === null ? {} : { proven: decibelsOf(was.signed[k] ?? 0) }),
        })),
      ],
    });
  }, [level, millimetres]);
  return (
    <section aria-labelledby="voicing-bars">
      <SectionHead id="voicing-bars" title="Harmonics" end="dBc, hollow = proven" />
      <div ref={box} className="voicing-figure">
        {scene !== undefined && <SceneView scene={scene} />}
      </div>
    </section>
  );
}

const CYCLE_HEIGHT = 46;
const PERIOD_SECONDS = 1e-3;

/** One cycle of 1 kHz at the output, and what is left without the fundamental, enlarged until it can be seen. */
function Cycle({ level }: { level: Level }) {
  const [box, { width }] = useSize<HTMLDivElement>();
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  const scene = useMemo(
    () =>
      millimetres < 60
        ? undefined
        : cycleFigure({
            title: "One cycle at the output",
            heading: false,
            signal: level.cycle.signal,
            residue: level.cycle.residue,
            ...(level.was === null ? {} : { provenResidue: level.was.cycle.residue }),
            periodSeconds: PERIOD_SECONDS,
            width: millimetres,
            height: CYCLE_HEIGHT,
          }),
    [level, millimetres],
  );
  return (
    <section aria-labelledby="voicing-cycle">
      <SectionHead id="voicing-cycle" title="One cycle at the output" end="residue: 1 kHz removed" />
      <div ref={box} className="voicing-figure">
        {scene !== undefined && <SceneView scene={scene} />}
      </div>
    </section>
  );
}
