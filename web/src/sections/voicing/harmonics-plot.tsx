import { pointOf, type Scene, valueAt, voicingFigure, type VoicingLines } from "@platewright/drawing";
import { type PointerEvent, useEffect, useMemo, useRef, useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useSession } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { useKept } from "../../state/use-kept.ts";
import type { At } from "./channels.ts";
import { Cursor, DriveScale, Ring } from "./plot-overlay.tsx";
import { sizeAt } from "./size-at.ts";
import { Wanted, type Wish } from "./wanted.tsx";
import { decibelWords, quantity } from "./words.ts";

export type Curves = ValueOf<"voicingCurves">;
type Calibrated = ValueOf<"voicingCalibrated">;

/** Height of the plot by its width: wide screens get a taller one. */
const heightFor = (millimetres: number): number => Math.round(Math.min(190, Math.max(112, 0.69 * millimetres)));
const LEAST_WIDTH = 100;
const LEAST_RATIO = 1e-5;
/** The axis ends at 10 %: the same for every edit, so that it stands still. */
const MOST_RATIO = 0.1;
/** The pointer takes the ring when it is this near, millimetres. */
const NEAR_MILLIMETRES = 4;

/**
 * H2 to H5 against the level at the grid: now heavy, proven light, what fit and specimens leave open tinted. The cursor is the
 * level at the jack as the drive lets it through. The ring is the H2 wanted: dragged, values are sought that bring it.
 */
export function HarmonicsPlot({
  at,
  curves,
  fresh,
  failure,
  inputVolts,
  onInput,
  onChannel,
}: {
  at: At;
  curves: Curves | undefined;
  fresh: boolean;
  failure: string | undefined;
  inputVolts: number;
  onInput: (volts: number) => void;
  onChannel: (channel: string) => void;
}) {
  const [box, { width }] = useSize<HTMLDivElement>();
  const marked = useSession((session) => session.book.value.targets.wantedH2);
  const [wish, setWish] = useState<Wish>();
  const refined = useAnswer("voicingRefined", at);
  const { value: calibrated } = useAnswer("voicingCalibrated", at);
  const fine = refined.fresh ? refined.value : undefined;
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  const scene = useMemo(
    () =>
      curves === undefined || millimetres < LEAST_WIDTH
        ? undefined
        : sceneOf(curves, fine, calibrated, millimetres, heightFor(millimetres)),
    [curves, fine, calibrated, millimetres],
  );
  const panel = scene?.panels?.[0];
  const now = fine?.now ?? curves?.now;
  // What is wished is seen against the unit as it is kept, not against the values that are tried for it.
  const kept = useKept(curves, fresh);
  const gridShare = curves?.gridShare ?? 1;
  const gridVolts = inputVolts * gridShare;
  const here = now === undefined ? undefined : sizeAt(now, 0, gridVolts);

  // The ring: what is being wished, what is kept as wanted, else where H2 stands at the cursor.
  const ring: Wish | undefined =
    wish ??
    (marked === undefined ? undefined : { inputVolts: marked.inputVolts, ratio: marked.percent / 100 }) ??
    (here === undefined ? undefined : { inputVolts, ratio: here });
  const drag = useDrag(panel, {
    ring:
      panel === undefined || ring === undefined
        ? undefined
        : pointOf(panel, ring.inputVolts * gridShare, 100 * ring.ratio),
    onCursor: (volts) => onInput(Number((volts / gridShare).toPrecision(3))),
    onRing: (ratio) => {
      if (ring !== undefined) setWish({ ...ring, ratio: clampRatio(ratio) });
    },
  });
  useEffect(() => {
    if (wish === undefined) return;
    const escape = (event: KeyboardEvent) => {
      if (event.key === "Escape") setWish(undefined);
    };
    addEventListener("keydown", escape);
    return () => removeEventListener("keydown", escape);
  }, [wish]);

  return (
    <section aria-labelledby="voicing-plot" className="voicing-plot">
      <SectionHead
        id="voicing-plot"
        title="Harmonics against level"
        note={
          <>
            1 kHz, nominal mains
            <span className="no-print">
              {curves === undefined || fine !== undefined
                ? "; drag the ring to the H2 you want"
                : `; drawn coarsely, what is left out stands at ${decibelWords(curves.now.tailDecibels, 0)}`}
            </span>
          </>
        }
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
      <div ref={box} className="voicing-box" {...drag}>
        {scene !== undefined && panel !== undefined && curves !== undefined && (
          <SceneView scene={scene}>
            <DriveScale panel={panel} drive={curves.drive} gridShare={gridShare} inputVolts={inputVolts} />
            <Cursor
              panel={panel}
              gridVolts={gridVolts}
              inputVolts={inputVolts}
              ratio={here}
              onMove={(by) => onInput(Number((inputVolts * by).toPrecision(3)))}
            />
            {ring !== undefined && (
              <Ring
                panel={panel}
                gridVolts={ring.inputVolts * gridShare}
                ratio={ring.ratio}
                state={wish !== undefined ? "held" : marked !== undefined ? "kept" : "free"}
                onMove={(decibels) => setWish({ ...ring, ratio: clampRatio(ring.ratio * 10 ** (decibels / 20)) })}
                onDrop={() => setWish(undefined)}
              />
            )}
          </SceneView>
        )}
      </div>
      {kept !== undefined && <Wanted wish={wish} marked={marked} curves={kept} onWish={setWish} />}
    </section>
  );
}

const clampRatio = (ratio: number): number => Math.min(0.5, Math.max(LEAST_RATIO * 3, ratio));

type Panel = NonNullable<Scene["panels"]>[number];

/** Presses in the plot: near the ring they move it up and down, elsewhere they move the cursor. */
function useDrag(
  panel: Panel | undefined,
  {
    ring,
    onCursor,
    onRing,
  }: {
    ring: readonly [number, number] | undefined;
    onCursor: (volts: number) => void;
    onRing: (ratio: number) => void;
  },
) {
  const dragging = useRef<"cursor" | "ring">(undefined);
  const placeOf = (event: PointerEvent<HTMLDivElement>): readonly [number, number] | undefined => {
    const frame = event.currentTarget.querySelector("svg")?.getBoundingClientRect();
    return frame === undefined
      ? undefined
      : [(event.clientX - frame.left) / PIXELS_PER_MILLIMETRE, (event.clientY - frame.top) / PIXELS_PER_MILLIMETRE];
  };
  const move = (event: PointerEvent<HTMLDivElement>) => {
    const place = placeOf(event);
    if (place === undefined || panel === undefined || dragging.current === undefined) return;
    const values = valueAt(panel, place);
    if (dragging.current === "ring") onRing(values.y / 100);
    else onCursor(Math.min(panel.x.to, Math.max(panel.x.from, values.x)));
  };
  const end = () => {
    dragging.current = undefined;
  };
  return {
    onPointerDown: (event: PointerEvent<HTMLDivElement>) => {
      const place = placeOf(event);
      if (place === undefined || panel === undefined || event.button !== 0) return;
      const [x, y] = place;
      if (x < panel.left || x > panel.right || y < panel.top || y > panel.bottom) return;
      const near = ring !== undefined && Math.hypot(x - ring[0], y - ring[1]) < NEAR_MILLIMETRES;
      dragging.current = near ? "ring" : "cursor";
      event.currentTarget.setPointerCapture(event.pointerId);
      // Taking hold of the ring moves nothing yet.
      if (!near) move(event);
    },
    onPointerMove: move,
    onPointerUp: end,
    onPointerCancel: end,
  };
}

function sceneOf(
  curves: Curves,
  fine: ValueOf<"voicingRefined"> | undefined,
  calibrated: Calibrated | undefined,
  width: number,
  height: number,
): Scene {
  const now = fine?.now ?? curves.now;
  const proven = fine === undefined ? curves.proven : fine.proven;
  const { gridShare, provenGridShare } = curves;
  const used = calibrated?.readings.filter((one) => one.used) ?? [];
  const band = bandOf(calibrated, curves.bandDecibels[0] ?? null);
  const lines: VoicingLines = {
    volts: now.gridVolts,
    ratios: now.signed,
    bands: [
      edges(now, 0, used.length > 0 ? band.after : band.before),
      edges(now, 1, symmetric(curves.bandDecibels[1] ?? null)),
    ],
  };
  const before = edges(now, 0, band.before);
  return voicingFigure({
    title: "Harmonics against level",
    heading: false,
    width,
    height,
    along: curves.grid === null ? "V rms at the input" : `V rms at the grid of ${curves.grid}`,
    least: LEAST_RATIO,
    most: MOST_RATIO,
    now: lines,
    ...(proven === null ? {} : { proven: { volts: proven.gridVolts, ratios: proven.signed } }),
    ...(used.length === 0 || band.after === undefined || before === undefined
      ? {}
      : {
          calibrated: {
            ratios: (now.signed[0] ?? []).map((ratio) => Math.abs(ratio) * 10 ** ((band.after?.centre ?? 0) / 20)),
            before,
          },
          measured: used.map((one) => ({ volts: one.inputVolts * (provenGridShare ?? gridShare), ratio: one.ratio })),
        }),
    levels: curves.voicingVolts.map((volts) => ({
      volts: volts * gridShare,
      ...(provenGridShare === null ? {} : { provenVolts: volts * provenGridShare }),
      words: `at ${quantity(volts, "V")} in`,
    })),
    ...(now.onsetGridVolts === null ? {} : { gridCurrentFrom: now.onsetGridVolts }),
  });
}

interface Band {
  /** dB of its middle from what is predicted, and half its width. */
  readonly centre: number;
  readonly half: number;
}

const symmetric = (half: number | null): Band | undefined => (half === null ? undefined : { centre: 0, half });

/** The band of H2 as the laws of this circuit have it, and as the readings leave it; alike at all levels but for tenths of a dB. */
function bandOf(
  calibrated: Calibrated | undefined,
  usual: number | null,
): { readonly before: Band | undefined; readonly after: Band | undefined } {
  const middle = calibrated?.now[Math.floor(calibrated.now.length / 2)];
  if (middle === undefined) return { before: symmetric(usual), after: undefined };
  return {
    before: { centre: 0, half: middle.priorBandDecibels },
    after: { centre: 20 * Math.log10(middle.ratio / middle.predictedRatio), half: middle.bandDecibels },
  };
}

function edges({ signed }: Curves["now"], k: number, band: Band | undefined) {
  if (band === undefined) return undefined;
  const shifted = (decibels: number) => (signed[k] ?? []).map((ratio) => Math.abs(ratio) * 10 ** (decibels / 20));
  return { low: shifted(band.centre - band.half), high: shifted(band.centre + band.half) };
}
