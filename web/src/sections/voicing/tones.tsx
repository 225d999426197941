import { barsFigure } from "@platewright/drawing";
import { useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./channels.ts";
import { useLast } from "./use-last.ts";
import { decibelWords, decibelsOf, percentWords, quantity } from "./words.ts";

type Both = ValueOf<"voicingTones">;
type Pair = "modulation" | "difference";

const NAMES: { readonly [P in Pair]: { readonly title: string; readonly along: string } } = {
  modulation: { title: "60 Hz + 7 kHz, 4 : 1", along: "Hz beside 7 kHz" },
  difference: { title: "19 + 20 kHz, 1 : 1", along: "kHz" },
};

/** Intermodulation at this level, now and proven: what two tones make of each other. */
export function Tones({ at, inputVolts }: { at: At; inputVolts: number }) {
  const { value: newest, failure } = useAnswer("voicingTones", { ...at, inputVolts });
  const value = useLast(newest);
  return (
    <section aria-labelledby="voicing-tones" className="voicing-tones">
      <SectionHead
        id="voicing-tones"
        title="Two tones"
        end={value === undefined ? "" : `peaks as ${quantity(value.inputVolts, "V")} rms does`}
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      {value === undefined && failure === undefined && <p className="voicing-note">Solving…</p>}
      {value !== undefined && (
        <div className="voicing-tones-body">
          <div>
            <Figures value={value} />
          </div>
          {(["modulation", "difference"] as const).map((pair) => (
            <Lines key={pair} pair={pair} value={value} />
          ))}
          <p className="voicing-note voicing-tones-note">
            dB below the upper tone, hollow = proven. Figures: rms sum of the products over the upper tone (60 Hz + 7
            kHz), over twice the upper tone (19 + 20 kHz); orders by arithmetic sums.
          </p>
        </div>
      )}
    </section>
  );
}

function Figures({ value: { now, was } }: { value: Both }) {
  const rows = (["modulation", "difference"] as const).flatMap((pair) => [
    { pair, name: NAMES[pair].title, now: now[pair].ratio, was: was?.[pair].ratio, strong: true },
    { pair, name: "second order", now: now[pair].second, was: was?.[pair].second, strong: false },
    { pair, name: "third order", now: now[pair].third, was: was?.[pair].third, strong: false },
  ]);
  const open = (["modulation", "difference"] as const).filter((pair) => !now[pair].settled).map((pair) => now[pair]);
  return (
    <>
      <table>
        <thead>
          <tr>
            <th scope="col">
              <span className="unseen">Figure</span>
            </th>
            <th scope="col" className="number">
              Now
            </th>
            <th scope="col" className="number">
              Proven
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={`${row.pair} ${row.name}`}>
              <th scope="row" className={row.strong ? undefined : "voicing-indent"}>
                {row.strong ? <b>{row.name}</b> : row.name}
              </th>
              <td className="number">{row.strong ? <b>{percentWords(row.now)}</b> : percentWords(row.now)}</td>
              <td className="number muted">{row.was === undefined ? "–" : percentWords(row.was)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {open.length > 0 && (
        <p className="voicing-note">
          Clipped: products above order {Math.max(...open.map((one) => one.order))} are left out; the last that were
          kept stand {decibelWords(Math.max(...open.map((one) => one.tailDecibels)), 0)} to the larger tone.
        </p>
      )}
    </>
  );
}

const FLOOR = -120;

function Lines({ pair, value: { now, was } }: { pair: Pair; value: Both }) {
  const [box, { width }] = useSize<HTMLDivElement>();
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  const lines = now[pair].lines;
  const before = was?.[pair].lines;
  const scene = useMemo(
    () =>
      millimetres < 60
        ? undefined
        : barsFigure({
            title: NAMES[pair].title,
            unit: "dB",
            width: millimetres,
            height: 36,
            floor: FLOOR,
            top: 0,
            step: 40,
            along: NAMES[pair].along,
            bars: lines.map((line, n) => ({
              name: line.words,
              now: decibelsOf(line.ratio),
              ...(before === undefined ? {} : { proven: decibelsOf(before[n]?.ratio ?? 0) }),
            })),
          }),
    [millimetres, lines, before, pair],
  );
  return (
    <figure className="voicing-lines">
      <figcaption>{NAMES[pair].title}</figcaption>
      <div ref={box} className="voicing-figure">
        {scene !== undefined && <SceneView scene={scene} />}
      </div>
    </figure>
  );
}
