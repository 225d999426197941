import { slopesFigure, transferFigure } from "@platewright/drawing";
import { printValue } from "@platewright/engine";
import { useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useAnswer } from "../../worker/use-answer.ts";

const SLOPES_HEIGHT = 106;
const TRANSFER_HEIGHT = 66;
const LEAST_WIDTH = 60;

/** gm, mu and rp against current with what the fit leaves open; and current against grid volts. */
export function Slopes({ triode, upToPlateAmps }: { triode: string; upToPlateAmps: number }) {
  const { value, failure } = useAnswer("curvesSlopes", { triode, upToPlateAmps });
  const [box, { width }] = useSize<HTMLDivElement>();
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  const scene = useMemo(
    () =>
      value === undefined || millimetres < LEAST_WIDTH
        ? undefined
        : slopesFigure({
            title: "Against current",
            heading: false,
            width: millimetres,
            height: SLOPES_HEIGHT,
            now: value.now,
            ...(value.proven === null ? {} : { proven: value.proven }),
          }),
    [value, millimetres],
  );
  const transfer = useMemo(
    () =>
      value?.transfer === undefined || value.transfer === null || millimetres < LEAST_WIDTH
        ? undefined
        : transferFigure({
            title: "Transfer",
            heading: false,
            width: millimetres,
            height: TRANSFER_HEIGHT,
            now: value.transfer,
            ...(value.provenTransfer === null ? {} : { proven: value.provenTransfer }),
          }),
    [value, millimetres],
  );
  return (
    <>
      <section aria-labelledby="curves-slopes">
        <SectionHead
          id="curves-slopes"
          title="Against current"
          note={
            value === undefined
              ? "solving…"
              : `at ${printValue(value.plateVolts, "V")}; tint: 90 % of fits and specimens`
          }
        />
        {failure !== undefined && <p role="status">{failure}</p>}
        <div ref={box}>{scene !== undefined && <SceneView scene={scene} />}</div>
      </section>
      <section aria-labelledby="curves-transfer">
        <SectionHead id="curves-transfer" title="Transfer" note="loaded, and with the plate held" />
        {transfer !== undefined && <SceneView scene={transfer} />}
      </section>
    </>
  );
}
