import { plot } from "@platewright/drawing";
import { dbu, printDecibels, printPercent, printValue } from "@platewright/engine";
import { useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./voicing-screen.tsx";

type Level = ValueOf<"voicingAt">;

/** One level: harmonics now and proven, bars, and one cycle with the fundamental taken away. */
export function AtLevel({ at, inputVolts }: { at: At; inputVolts: number }) {
  const { value, failure } = useAnswer("voicingAt", { ...at, inputVolts });
  const h2 = value?.ratios[0];
  const wasH2 = value?.was?.ratios[0];
  return (
    <>
      <section aria-labelledby="voicing-at">
        <SectionHead id="voicing-at" title="At this level" end={`${printValue(inputVolts, "V")} in`} />
        {failure !== undefined && <p role="status">{failure}</p>}
        {value !== undefined && (
          <>
            <p className="voicing-big">
              <b>H2 {h2 === undefined ? "–" : printPercent(h2)}</b>
              {wasH2 !== undefined && h2 !== undefined && (
                <span className="muted">
                  Proven {printPercent(wasH2)}, {apart(h2, wasH2)}
                </span>
              )}
            </p>
            <Harmonics level={value} />
            <p className="voicing-note">
              Out: {printValue(value.outputVolts, "V")} rms, {signed(dbu(value.outputVolts))}
              {"\u202f"}dBu
              {value.was === null ? "" : `; was ${printValue(value.was.outputVolts, "V")}`}.
              {value.outcome === "tail-not-reached" &&
                ` Clipped: what was left out stands ${printDecibels(value.tailDecibels, 0)} below.`}
            </p>
          </>
        )}
      </section>
      {value !== undefined && <Bars level={value} />}
      {value !== undefined && <Cycle level={value} />}
    </>
  );
}

function Harmonics({ level }: { level: Level }) {
  const rows = level.ratios.map((ratio, k) => ({
    name: `H${k + 2}`,
    ratio,
    sign: level.signs[k] ?? 1,
    was: level.was?.ratios[k],
  }));
  return (
    <table>
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
            Proven
          </th>
          <th scope="col" className="number">
            dBc
          </th>
        </tr>
      </thead>
      <tbody>
        {[...rows, { name: "Total", ratio: level.total, sign: 1, was: level.was?.total }].map((row) => (
          <tr key={row.name}>
            <th scope="row">
              {row.name}
              {row.name !== "Total" && <span className="muted">{row.sign < 0 ? " against" : " with"}</span>}
            </th>
            <td className="number">
              <b>{percent(row.ratio)}</b>
            </td>
            <td className="number">
              <b>{dbc(row.ratio)}</b>
            </td>
            <td className="number muted">{row.was === undefined ? "–" : percent(row.was)}</td>
            <td className="number muted">{row.was === undefined ? "–" : dbc(row.was)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Below this nothing is there to hear or to measure. */
const FLOOR_DECIBELS = -130;
const percent = (ratio: number): string => (20 * Math.log10(ratio) < FLOOR_DECIBELS ? "–" : printPercent(ratio));
const dbc = (ratio: number): string =>
  20 * Math.log10(ratio) < FLOOR_DECIBELS ? "–" : (20 * Math.log10(ratio)).toFixed(1).replace("-", "−");
const signed = (value: number): string => `${value >= 0 ? "+" : "−"}${Math.abs(value).toFixed(1)}`;
const apart = (now: number, was: number): string => {
  const by = 100 * (now / was - 1);
  return Math.abs(by) < 0.5 ? "the same" : `${Math.abs(by).toFixed(0)} % ${by > 0 ? "higher" : "lower"}`;
};

const BAR_HEIGHT = 130;
const BAR_FLOOR = -120;

/** Harmonics as bars in dBc; hollow is proven. */
function Bars({ level }: { level: Level }) {
  const rows = level.ratios.map((ratio, k) => ({ name: `H${k + 2}`, now: dB(ratio), was: dB(level.was?.ratios[k]) }));
  const y = (decibels: number) => BAR_HEIGHT * (Math.max(BAR_FLOOR, Math.min(0, decibels)) / BAR_FLOOR);
  return (
    <section aria-labelledby="voicing-bars">
      <SectionHead id="voicing-bars" title="Harmonics" end="dBc, hollow = Proven" />
      <svg
        className="voicing-bars"
        viewBox={`-6 0 366 ${BAR_HEIGHT + 40}`}
        role="img"
        aria-label={rows.map((row) => `${row.name} ${row.now.toFixed(0)} dBc`).join(", ")}
      >
        {[0, -40, -80, -120].map((mark) => (
          <g key={mark} transform={`translate(0 ${18 + y(mark)})`}>
            <path className="voicing-grid" d="M38 0H360" />
            <text className="voicing-axis" x={32} y={4.5} textAnchor="end">
              {String(mark).replace("-", "−")}
            </text>
          </g>
        ))}
        {rows.map((row, n) => {
          const x = 62 + n * 78;
          const top = (decibels: number) => 18 + y(decibels);
          return (
            <g key={row.name}>
              {Number.isFinite(row.was) && (
                <rect
                  className="voicing-was"
                  x={x}
                  y={top(row.was)}
                  width={16}
                  height={18 + BAR_HEIGHT - top(row.was)}
                />
              )}
              <rect
                className="voicing-now"
                x={x + 20}
                y={top(row.now)}
                width={20}
                height={18 + BAR_HEIGHT - top(row.now)}
              />
              {row.now > BAR_FLOOR && (
                <text
                  className="voicing-value"
                  x={x + 20}
                  y={Math.min(top(row.now), Number.isFinite(row.was) ? top(row.was) : Number.POSITIVE_INFINITY) - 5}
                  textAnchor="middle"
                >
                  {row.now.toFixed(1).replace("-", "−")}
                </text>
              )}
              <text className="voicing-axis" x={x + 20} y={BAR_HEIGHT + 36} textAnchor="middle">
                {row.name}
              </text>
            </g>
          );
        })}
      </svg>
    </section>
  );
}

const dB = (ratio: number | undefined): number =>
  ratio === undefined || !(ratio > 0) ? Number.NEGATIVE_INFINITY : 20 * Math.log10(ratio);

const CYCLE_HEIGHT = 52;

/** One cycle of 1 kHz at the output, and what is left without the fundamental, enlarged until it can be seen. */
function Cycle({ level }: { level: Level }) {
  const [box, { width }] = useSize<HTMLDivElement>();
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  const scene = useMemo(() => {
    if (millimetres < 60) return undefined;
    const peak = (values: readonly number[]) => Math.max(1e-9, ...values.map(Math.abs));
    const largest = peak(level.wave.signal);
    const times = enlargement(largest / Math.max(peak(level.wave.residue), peak(level.was?.wave.residue ?? [])));
    const seconds = level.wave.signal.map((_, n) => (n / (level.wave.signal.length - 1)) * 1e-3);
    const scaled = (values: readonly number[]) => values.map((value) => value * times);
    return plot({
      title: "One cycle at the output",
      heading: false,
      width: millimetres,
      height: CYCLE_HEIGHT,
      x: { from: 0, to: 1e-3, unit: "s" },
      y: { from: -1.15 * largest, to: 1.15 * largest, unit: "V" },
      lines: [
        ...(level.was === null
          ? []
          : [{ label: "was", x: seconds, y: scaled(level.was.wave.residue), role: "proven" as const }]),
        { label: "signal", x: seconds, y: level.wave.signal, role: "ink" as const, dash: "dash" as const },
        { label: `residue × ${times}`, x: seconds, y: scaled(level.wave.residue), role: "now" as const },
      ],
    });
  }, [level, millimetres]);
  return (
    <section aria-labelledby="voicing-cycle">
      <SectionHead id="voicing-cycle" title="One cycle" end="fundamental removed from the residue" />
      <div ref={box}>{scene !== undefined && <SceneView scene={scene} />}</div>
    </section>
  );
}

/** 1, 2 or 5 times a power of ten, not above. */
function enlargement(most: number): number {
  const decade = 10 ** Math.floor(Math.log10(most));
  return Math.max(1, ([5, 2, 1].find((step) => step * decade <= most) ?? 1) * decade);
}
