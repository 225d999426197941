import {
  type Slope,
  slopeFigure,
  slopeName,
  slopeReach,
  SLOPES,
  slopeWords,
  type Scene,
  transferFigure,
} from "@platewright/drawing";
import { type ReactNode, useCallback, useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { roundUp } from "./picture.ts";
import { useRest, useStill } from "./use-still.ts";
import { voltsWords } from "./words.ts";

type SlopesAnswer = ValueOf<"curvesSlopes">;

const LEAST_MILLIMETRES = 32;
const MARGIN = 1;

/** gm, mu and rp against current with what the fit leaves open; and current against grid volts. */
export function Slopes({ triode, upToPlateAmps, held }: { triode: string; upToPlateAmps: number; held: boolean }) {
  const { value, failure } = useAnswer("curvesSlopes", { triode, upToPlateAmps });
  return (
    <section aria-labelledby="curves-slopes">
      <SectionHead
        id="curves-slopes"
        title="Against current"
        note={value === undefined ? "solving…" : `at ${voltsWords(value.plateVolts)}; tint 90 %, dashes: no row`}
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      {value !== undefined && <Charts value={value} upToPlateAmps={upToPlateAmps} held={held} />}
    </section>
  );
}

function Charts({ value, upToPlateAmps, held }: { value: SlopesAnswer; upToPlateAmps: number; held: boolean }) {
  const { now, proven, transfer } = value;
  const rest = useRest(value, held);
  const units = proven === null ? [now] : [now, proven.slopes];
  const ends = useStill(
    {
      upTo: SLOPES.map((slope) => roundUp(1.02 * slopeReach(slope, units))),
      fromGridVolts: roundUp(-Math.min(...transfer.gridVolts, ...(proven?.transfer.gridVolts ?? []))),
    },
    ({ upTo, fromGridVolts }) => [...upTo, fromGridVolts],
    held,
  );
  return (
    <div className="curves-charts">
      {SLOPES.map((slope, n) => (
        <SlopeChart
          key={slope}
          slope={slope}
          value={value}
          rest={rest}
          held={held}
          upToPlateAmps={upToPlateAmps}
          upTo={ends.upTo[n] ?? 1}
        />
      ))}
      <TransferChart
        value={value}
        rest={rest}
        held={held}
        upToPlateAmps={upToPlateAmps}
        fromGridVolts={-ends.fromGridVolts}
      />
    </div>
  );
}

function SlopeChart({
  slope,
  value: { now, proven, rows },
  rest,
  held,
  upToPlateAmps,
  upTo,
}: {
  slope: Slope;
  value: SlopesAnswer;
  rest: SlopesAnswer;
  held: boolean;
  upToPlateAmps: number;
  upTo: number;
}) {
  const words = slopeWords(slope, now.at[slope]);
  const before = proven === null ? undefined : slopeWords(slope, proven.slopes.at[slope]);
  const was = before === words ? undefined : before;
  const live = held && slopeWords(slope, rest.now.at[slope]) !== words;
  const draw = useCallback(
    (width: number, height: number) =>
      slopeFigure({
        slope,
        heading: false,
        margin: MARGIN,
        width,
        height,
        now,
        ...(proven === null ? {} : { proven: proven.slopes }),
        live,
        rows: rows ?? NO_ROWS,
        upToPlateAmps,
        upTo,
      }),
    [slope, now, proven, live, rows, upToPlateAmps, upTo],
  );
  return <Chart name={slopeName(slope)} now={words} was={was} live={live} draw={draw} />;
}

/** Nothing was published: dashed throughout. */
const NO_ROWS = { fromAmps: Infinity, toAmps: Infinity };

function TransferChart({
  value: { transfer, proven },
  rest,
  held,
  upToPlateAmps,
  fromGridVolts,
}: {
  value: SlopesAnswer;
  rest: SlopesAnswer;
  held: boolean;
  upToPlateAmps: number;
  fromGridVolts: number;
}) {
  const words = voltsWords(transfer.at.gridVolts);
  const before = proven === null ? undefined : voltsWords(proven.transfer.at.gridVolts);
  const was = before === words ? undefined : before;
  const live = held && voltsWords(rest.transfer.at.gridVolts) !== words;
  const behind = was === undefined ? undefined : proven?.transfer;
  const draw = useCallback(
    (width: number, height: number) =>
      transferFigure({
        title: "Transfer",
        heading: false,
        saysPoint: false,
        margin: MARGIN,
        width,
        height,
        now: transfer,
        live,
        ...(behind === undefined ? {} : { proven: behind }),
        fromGridVolts,
        upToPlateAmps,
      }),
    [transfer, live, behind, fromGridVolts, upToPlateAmps],
  );
  return <Chart name="Transfer" now={words} was={was} live={live} draw={draw} />;
}

const THIN = "\u202f";
const sameUnit = (one: string, other: string): boolean => one.split(THIN)[1] === other.split(THIN)[1];

function Chart({
  name,
  now,
  was,
  live,
  draw,
}: {
  name: string;
  now: string;
  was: string | undefined;
  live: boolean;
  draw: (width: number, height: number) => Scene;
}): ReactNode {
  const [box, { width, height }] = useSize<HTMLDivElement>();
  const [across, down] = [width, height].map((pixels) => Math.floor(pixels / PIXELS_PER_MILLIMETRE)) as [
    number,
    number,
  ];
  const scene = useMemo(
    () => (across < LEAST_MILLIMETRES || down < LEAST_MILLIMETRES ? undefined : draw(across, down)),
    [across, down, draw],
  );
  return (
    <figure className="curves-chart">
      <figcaption>
        <b>{name}</b> <span className={live ? "live" : "cools"}>{now}</span>
        {was !== undefined && <span className="muted">was {sameUnit(was, now) ? was.split(THIN)[0] : was}</span>}
      </figcaption>
      <div ref={box}>{scene !== undefined && <SceneView scene={scene} />}</div>
    </figure>
  );
}
