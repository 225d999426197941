import { pointOf, valueAt, voicingFigure, type VoicingLines } from "@platewright/drawing";
import { printPercent, printValue } from "@platewright/engine";
import { type PointerEvent, useMemo, useRef, useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useHands, useSession } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer, useDesk } from "../../worker/use-answer.ts";

type Curves = ValueOf<"voicingCurves">;

/** Height of the plot by its width: wide screens get a taller one. */
const heightFor = (millimetres: number): number => Math.round(Math.min(190, Math.max(116, 0.45 * millimetres)));
const LEAST_WIDTH = 100;
const LEAST_RATIO = 1e-5;
const MOST_RATIO = 0.095;
/** Share of the level that an arrow key moves the cursor by. */
const CURSOR_STEP = 1.05;
/** Decibels that an arrow key moves the target by. */
const TARGET_STEP_DECIBELS = 0.5;

/**
 * H2 to H5 against input: now heavy, proven light, what fit and specimens leave open tinted. The cursor is the level in
 * hand; the ring at it can be dragged up and down: that is the H2 wanted there, and values are sought that bring it.
 */
export function HarmonicsPlot({
  curves,
  failure,
  inputVolts,
  onCursor,
  onChannel,
}: {
  curves: Curves | undefined;
  failure: string | undefined;
  inputVolts: number;
  onCursor: (volts: number) => void;
  onChannel: (channel: string) => void;
}) {
  const [box, { width }] = useSize<HTMLDivElement>();
  const [wanted, setWanted] = useState<number>();
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  const { value: calibrated } = useAnswer(
    "voicingCalibrated",
    curves === undefined ? {} : { channel: curves.instance },
  );
  const scene = useMemo(
    () =>
      curves === undefined || millimetres < LEAST_WIDTH
        ? undefined
        : voicingFigure({
            title: "Harmonics against level",
            heading: false,

            width: millimetres,
            height: heightFor(millimetres),
            least: LEAST_RATIO,
            most: MOST_RATIO,
            now: withReadings(linesOf(curves.now, curves.bandDecibels), calibrated),
            ...(curves.proven === null ? {} : { proven: linesOf(curves.proven, []) }),
            sayAt: curves.voicingVolts,
            ...(calibrated === undefined ? {} : { measured: calibrated.measured }),
            ...(curves.onsetVolts === null ? {} : { gridCurrentFrom: curves.onsetVolts }),
          }),
    [curves, calibrated, millimetres],
  );
  const panel = scene?.panels?.[0];
  const here = curves === undefined ? undefined : ratioAt(curves.now, inputVolts);
  const dragging = useRef<"cursor" | "target">(undefined);

  const valuesAt = (event: PointerEvent<SVGSVGElement | HTMLDivElement>) => {
    const svg = event.currentTarget.querySelector("svg");
    if (svg === null || panel === undefined) return undefined;
    const frame = svg.getBoundingClientRect();
    const place = [
      (event.clientX - frame.left) / PIXELS_PER_MILLIMETRE,
      (event.clientY - frame.top) / PIXELS_PER_MILLIMETRE,
    ] as const;
    return { place, ...valueAt(panel, place) };
  };
  const clampInput = (volts: number) =>
    panel === undefined ? volts : Number(Math.min(panel.x.to, Math.max(panel.x.from, volts)).toPrecision(3));
  const clampRatio = (ratio: number) => Math.min(0.5, Math.max(LEAST_RATIO * 10, ratio));

  return (
    <section aria-labelledby="voicing-plot" className="voicing-plot">
      <SectionHead
        id="voicing-plot"
        title="Harmonics against level"
        note={curves === undefined ? "solving…" : signNote(curves)}
        end={
          curves !== undefined &&
          curves.channels.length > 1 && (
            <Choice
              label="Channel"
              options={curves.channels.map((value) => ({ value, words: value }))}
              value={curves.instance}
              onChoose={onChannel}
            />
          )
        }
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      <div
        ref={box}
        className="voicing-box"
        onPointerDown={(event) => {
          const values = valuesAt(event);
          if (values === undefined || panel === undefined) return;
          const [x, y] = values.place;
          if (x < panel.left || x > panel.right || y < panel.top || y > panel.bottom) return;
          const handle = here === undefined ? undefined : pointOf(panel, inputVolts, 100 * (wanted ?? here));
          const near = handle !== undefined && Math.hypot(x - handle[0], y - handle[1]) < 4;
          dragging.current = near ? "target" : "cursor";
          event.currentTarget.setPointerCapture(event.pointerId);
          if (!near) onCursor(clampInput(values.x));
        }}
        onPointerMove={(event) => {
          const values = valuesAt(event);
          if (values === undefined || dragging.current === undefined) return;
          if (dragging.current === "cursor") onCursor(clampInput(values.x));
          else setWanted(clampRatio(values.y / 100));
        }}
        onPointerUp={() => {
          dragging.current = undefined;
        }}
        onPointerCancel={() => {
          dragging.current = undefined;
          setWanted(undefined);
        }}
      >
        {scene !== undefined && panel !== undefined && (
          <SceneView scene={scene}>
            <Cursor
              panel={panel}
              inputVolts={inputVolts}
              ratio={here}
              onMove={(by) => onCursor(clampInput(inputVolts * by))}
            />
            {here !== undefined && (
              <Target
                panel={panel}
                inputVolts={inputVolts}
                ratio={wanted ?? here}
                set={wanted !== undefined}
                onMove={(by) => setWanted(clampRatio((wanted ?? here) * 10 ** (by / 20)))}
                onDrop={() => setWanted(undefined)}
              />
            )}
          </SceneView>
        )}
      </div>
      {wanted !== undefined && here !== undefined && (
        <Sought ratio={wanted} here={here} inputVolts={inputVolts} onDone={() => setWanted(undefined)} />
      )}
    </section>
  );
}

type Panel = NonNullable<NonNullable<ReturnType<typeof voicingFigure>["panels"]>[number]>;

function Cursor({
  panel,
  inputVolts,
  ratio,
  onMove,
}: {
  panel: Panel;
  inputVolts: number;
  ratio: number | undefined;
  onMove: (by: number) => void;
}) {
  const [x] = pointOf(panel, inputVolts, 1);
  const words = `${printValue(inputVolts, "V")} in${ratio === undefined ? "" : `, H2 ${printPercent(ratio)}`}`;
  const leftOf = x > (panel.left + panel.right) / 2;
  return (
    <g
      className="voicing-cursor"
      role="slider"
      tabIndex={0}
      aria-label="Input level"
      aria-valuemin={panel.x.from}
      aria-valuemax={panel.x.to}
      aria-valuenow={inputVolts}
      aria-valuetext={words}
      onKeyDown={(event) => {
        const step = event.shiftKey ? 1.01 : CURSOR_STEP;
        if (event.key === "ArrowRight" || event.key === "ArrowUp") onMove(step);
        else if (event.key === "ArrowLeft" || event.key === "ArrowDown") onMove(1 / step);
        else return;
        event.preventDefault();
      }}
    >
      <path d={`M${x} ${panel.top}V${panel.bottom}`} className="voicing-line" />
      <text
        x={leftOf ? x - 1.5 : x + 1.5}
        y={panel.bottom - 2}
        textAnchor={leftOf ? "end" : "start"}
        className="voicing-said"
      >
        {words}
      </text>
    </g>
  );
}

function Target({
  panel,
  inputVolts,
  ratio,
  set,
  onMove,
  onDrop,
}: {
  panel: Panel;
  inputVolts: number;
  ratio: number;
  set: boolean;
  onMove: (decibels: number) => void;
  onDrop: () => void;
}) {
  const [x, y] = pointOf(panel, inputVolts, 100 * ratio);
  if (y < panel.top || y > panel.bottom) return null;
  return (
    <g
      className={set ? "voicing-target voicing-set" : "voicing-target"}
      role="slider"
      tabIndex={0}
      aria-label="H2 wanted at this level"
      aria-valuemin={0.01}
      aria-valuemax={50}
      aria-valuenow={Number((100 * ratio).toPrecision(3))}
      aria-valuetext={printPercent(ratio)}
      onKeyDown={(event) => {
        const step = event.shiftKey ? 0.1 : TARGET_STEP_DECIBELS;
        if (event.key === "ArrowUp" || event.key === "ArrowRight") onMove(step);
        else if (event.key === "ArrowDown" || event.key === "ArrowLeft") onMove(-step);
        else if (event.key === "Escape") onDrop();
        else return;
        event.preventDefault();
        event.stopPropagation();
      }}
    >
      <circle cx={x} cy={y} r={2.4} />
      {set && (
        <text x={x + 3.6} y={y - 2} className="voicing-said">
          wanted {printPercent(ratio)}
        </text>
      )}
    </g>
  );
}

/** Values that bring the H2 wanted, sought with the tubes as they stand; one press takes them. */
function Sought({
  ratio,
  here,
  inputVolts,
  onDone,
}: {
  ratio: number;
  here: number;
  inputVolts: number;
  onDone: () => void;
}) {
  const hands = useHands();
  const desk = useDesk();
  const busy = useSession((session) => session.hand !== undefined);
  const asked = Number(ratio.toPrecision(2));
  const { value, failure, progress, key } = useAnswer("goalValues", {
    goal: { kind: "move-voicing", ratio: asked, inputVolts },
  });
  return (
    <div className="voicing-sought" role="status">
      <span>
        H2 of <b>{printPercent(asked)}</b> at {printValue(inputVolts, "V")} in, {decibels(asked / here)} from now:
      </span>
      {failure !== undefined ? (
        <span>{failure}</span>
      ) : value === undefined ? (
        <span>
          seeking values…{" "}
          {progress !== undefined && (
            <button type="button" className="button quiet" onClick={() => desk.stop(key)}>
              Stop
            </button>
          )}
        </span>
      ) : value.changes.length === 0 ? (
        <span>no values at hand come nearer.</span>
      ) : (
        <button
          type="button"
          className="button primary"
          disabled={busy}
          onClick={() => {
            hands.keep(value.title, value.changes);
            onDone();
          }}
        >
          {value.title}
          {value.thenDecibels === null ? "" : `, within ${value.thenDecibels.toFixed(1)} dB`}
        </button>
      )}
      <button type="button" className="button quiet" onClick={onDone}>
        Put down
      </button>
    </div>
  );
}

const decibels = (ratio: number): string => {
  const value = 20 * Math.log10(ratio);
  return `${value >= 0 ? "+" : "−"}${Math.abs(value).toFixed(1)}\u202fdB`;
};

function linesOf(curve: Curves["now"], bandDecibels: readonly (number | null)[]): VoicingLines {
  return {
    inputVolts: curve.inputVolts,
    ratios: curve.ratios,
    bands: bandDecibels.map((band, k) =>
      band === null
        ? undefined
        : {
            low: (curve.ratios[k] ?? []).map((ratio) => ratio * 10 ** (-band / 20)),
            high: (curve.ratios[k] ?? []).map((ratio) => ratio * 10 ** (band / 20)),
          },
    ),
  };
}

/** The builder's readings of the proven unit narrow what is left open, and move it: the tint then says so. */
function withReadings(lines: VoicingLines, calibrated: ValueOf<"voicingCalibrated"> | undefined): VoicingLines {
  if (calibrated === undefined || calibrated.measured.length === 0) return lines;
  const at = (input: number) =>
    calibrated.now.find((one) => Math.abs(one.inputVolts / input - 1) < 1e-6) ??
    calibrated.now.reduce<(typeof calibrated.now)[number] | undefined>(
      (best, one) =>
        best === undefined || Math.abs(Math.log(one.inputVolts / input)) < Math.abs(Math.log(best.inputVolts / input))
          ? one
          : best,
      undefined,
    );
  const h2 = lines.ratios[0] ?? [];
  const scaled = (of: "lowRatio" | "highRatio") =>
    lines.inputVolts.map((input, n) => {
      const near = at(input);
      return near === undefined ? (h2[n] ?? 0) : ((h2[n] ?? 0) * near[of]) / near.predictedRatio;
    });
  return { ...lines, bands: [{ low: scaled("lowRatio"), high: scaled("highRatio") }, ...(lines.bands ?? []).slice(1)] };
}

/** H2 at an input, straight between points on logarithmic axes. */
export function ratioAt({ inputVolts, ratios }: Curves["now"], input: number): number | undefined {
  const h2 = ratios[0] ?? [];
  const next = inputVolts.findIndex((volts) => volts >= input);
  const n = next < 0 ? inputVolts.length - 1 : Math.max(1, next);
  const [x0, x1, y0, y1] = [inputVolts[n - 1], inputVolts[n], h2[n - 1], h2[n]];
  if (x0 === undefined || x1 === undefined || y0 === undefined || y1 === undefined || !(y0 > 0) || !(y1 > 0))
    return undefined;
  return y0 * (y1 / y0) ** (Math.log(input / x0) / Math.log(x1 / x0));
}

/** Where H2 changes its sign stages cancel: an honest plot of sizes must say so. */
function signNote({ now, onsetVolts }: Curves): string {
  const signs = now.signs[0] ?? [];
  const turn = signs.findIndex((sign, n) => n > 0 && sign !== signs[n - 1]);
  const plain = "1 kHz, nominal mains; drag the ring for the H2 you want";
  const volts = now.inputVolts[turn] ?? 0;
  // Past the onset of grid current the wave is cut, and its harmonics turn over anyway.
  return turn < 0 || (onsetVolts !== null && volts > onsetVolts)
    ? plain
    : `H2 changes its sign near ${printValue(volts, "V")}: there the stages cancel`;
}
