import { plateCurvesFigure } from "@platewright/drawing";
import { useMemo, useState } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { MakersPoints, SourceCard } from "./makers-points.tsx";
import { Overlay, type Wished } from "./overlay.tsx";
import type { Picture } from "./picture.ts";
import { useFollow } from "./use-follow.ts";
import { type FamilyAnswer, pointWords, spanWords, type StageAnswer, voltsWords } from "./words.ts";

const LEAST_WIDTH = 100;
const LEAST_HEIGHT = 80;
/** Names over the plot need no more of the sheet than this beside them. */
const MARGIN = 1;

/** The same family is the same object, however often it was answered: it is drawn once. */
function useSame(family: FamilyAnswer | undefined): FamilyAnswer | undefined {
  const [same, setSame] = useState(family);
  if (family !== undefined && family.key !== same?.key) {
    setSame(family);
    return family;
  }
  return same;
}

/**
 * The plane of plate volts and amperes. What depends on the tube is drawn once; what the circuit makes of it lies on top
 * and moves with every edit. The operating point and the load line's end can be dragged: the part that sets them follows.
 */
export function PlaneView({
  stage,
  rest,
  picture,
  held,
}: {
  stage: StageAnswer;
  rest: StageAnswer;
  picture: Picture;
  held: boolean;
}) {
  const [box, { width, height }] = useSize<HTMLDivElement>();
  const [shown, setShown] = useState<string>();
  const [under, setUnder] = useState<string>();
  const [wished, setWished] = useState<Wished>();
  const answer = useAnswer("curvesFamily", { triode: stage.id, picture });
  const family = useSame(answer.value);
  const [across, down] = [width, height].map((pixels) => Math.floor(pixels / PIXELS_PER_MILLIMETRE)) as [
    number,
    number,
  ];
  const scene = useMemo(
    () =>
      family === undefined || across < LEAST_WIDTH || down < LEAST_HEIGHT
        ? undefined
        : familyScene(family, across, down),
    [family, across, down],
  );
  const panel = scene?.panels?.[0];
  const follow = useFollow(stage.id);
  const source = family?.points.find((one) => one.id === (under ?? shown));
  return (
    <>
      <div ref={box} className="curves-plane">
        {answer.failure !== undefined && <p role="status">{answer.failure}</p>}
        {scene !== undefined && <SceneView scene={scene} />}
        {scene !== undefined && panel !== undefined && family !== undefined && (
          <svg
            className="scene curves-over"
            role="group"
            aria-label={circuitWords(stage)}
            viewBox={`0 0 ${scene.width} ${scene.height}`}
            width={scene.width * PIXELS_PER_MILLIMETRE}
            height={scene.height * PIXELS_PER_MILLIMETRE}
          >
            <MakersPoints panel={panel} points={family.points} shown={shown} onShow={setShown} onPoint={setUnder} />
            <Overlay
              panel={panel}
              onsetVolts={family.region?.gridVolts}
              stage={stage}
              rest={rest}
              held={held}
              wished={wished}
              onWished={setWished}
              follow={follow}
            />
          </svg>
        )}
        {source !== undefined && panel !== undefined && wished === undefined && (
          <SourceCard panel={panel} point={source} points={family?.points ?? []} />
        )}
        {follow.trouble !== undefined && (
          <p className="curves-trouble" role="status">
            {follow.trouble}
          </p>
        )}
      </div>
      {family !== undefined && (
        <p className="curves-note">
          {family.points.length === 0
            ? `No maker’s point of the ${family.type} lies in this picture`
            : "Point at a maker’s point for its source"}
          {family.outside > 0 ? `; ${family.outside} more lie outside, see the whole sheet.` : "."}
        </p>
      )}
    </>
  );
}

function familyScene(family: FamilyAnswer, width: number, height: number) {
  const { curves, provenCurves, dissipation, plateVoltsLimit, cathodeAmpsLimit, region, points, picture } = family;
  return plateCurvesFigure({
    title: `Plate curves of ${family.type}`,
    heading: false,
    margin: MARGIN,
    width,
    height,
    ...picture,
    curves,
    ...(provenCurves.length === 0 || family.provenType === null
      ? {}
      : { provenCurves, types: { now: family.type, proven: family.provenType } }),
    ...(dissipation === null ? {} : { dissipation }),
    ...(plateVoltsLimit === null ? {} : { plateVoltsLimit: { volts: plateVoltsLimit } }),
    ...(cathodeAmpsLimit === null ? {} : { cathodeAmpsLimit: { amps: cathodeAmpsLimit } }),
    // Said over the load lines, not under them.
    ...(region === null ? {} : { gridCurrent: { ...region, words: [] } }),
    published: points.map((point) => ({ ...point, ids: [point.id] })),
  });
}

/** For those who cannot see it: what the circuit makes of the section. */
function circuitWords({ name, point, dc, ac, swing, was }: StageAnswer): string {
  const ohms = (value: number) => `${(value / 1000).toFixed(1)} kΩ`;
  return [
    `${name} in its circuit: operating point ${pointWords(point)}, grid ${voltsWords(point.gridVolts)}`,
    ...(was === null ? [] : [`was ${pointWords(was.point)}`]),
    `DC load ${ohms(dc.ohms)}`,
    `AC load ${ohms(ac.ohms)}`,
    ...(swing === null
      ? []
      : [
          `at ${voltsWords(swing.inputVolts)} in it swings from ${spanWords(swing.lowPlateVolts, swing.highPlateVolts)}`,
        ]),
  ].join("; ");
}
