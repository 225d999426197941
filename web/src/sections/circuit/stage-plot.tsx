import { useAnswer } from "../../worker/use-answer.ts";
import { printed } from "./words.ts";

const WIDTH = 280;
const HEIGHT = 150;
const LEFT = 30;
const BOTTOM = 20;

/** The section's plate curves with its load line and where it stands, small; the whole of it is on Curves. */
export function StagePlot({ triode, live }: { triode: string; live: boolean }) {
  const { value: stage } = useAnswer("circuitStage", { triode });
  if (stage === undefined) return null;
  const x = (volts: number) => LEFT + (volts / stage.upToPlateVolts) * (WIDTH - LEFT - 4);
  const y = (amps: number) => HEIGHT - BOTTOM - (amps / stage.upToPlateAmps) * (HEIGHT - BOTTOM - 6);
  const path = (volts: readonly number[], amps: readonly number[]) =>
    volts.map((one, n) => `${n === 0 ? "M" : "L"}${x(one).toFixed(1)} ${y(amps[n] ?? 0).toFixed(1)}`).join("");
  const { dc, at, was, limitWatts } = stage;
  const slope = dc.shortAmps / dc.openVolts;
  const upper = Math.max(0, dc.openVolts - stage.upToPlateAmps / slope);
  const right = Math.min(dc.openVolts, stage.upToPlateVolts);
  const along = (volts: number) => dc.shortAmps - slope * volts;
  const heat = limitWatts === null ? [] : HEAT.map((share) => share * stage.upToPlateVolts);
  const visible = heat.filter((volts) => (limitWatts ?? 0) / volts <= stage.upToPlateAmps);
  return (
    <figure className="circuit-stage">
      <figcaption>
        {stage.name}, load line:{" "}
        <b className={live ? "live" : undefined}>
          {printed(at.plateVolts, "V")}, {printed(at.plateAmps, "A")}
        </b>
        {was !== null &&
        (printed(was.plateVolts, "V") !== printed(at.plateVolts, "V") ||
          printed(was.plateAmps, "A") !== printed(at.plateAmps, "A"))
          ? `, was ${printed(was.plateVolts, "V")}, ${printed(was.plateAmps, "A")}`
          : ""}
      </figcaption>
      <svg
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label={`Plate curves of ${stage.name} with its load line`}
      >
        <path className="circuit-stage-axis" d={`M${LEFT} 4V${HEIGHT - BOTTOM}H${WIDTH - 2}`} />
        {stage.curves.map(({ gridVolts, plateVolts, plateAmps }) => (
          <path key={gridVolts} className="circuit-stage-curve" d={path(plateVolts, plateAmps)} />
        ))}
        {visible.length > 1 && (
          <path
            className="circuit-stage-limit"
            d={path(
              visible,
              visible.map((volts) => (limitWatts ?? 0) / volts),
            )}
          />
        )}
        <path
          className={`circuit-stage-load${live ? " circuit-stage-live" : ""}`}
          d={`M${x(upper)} ${y(along(upper))}L${x(right)} ${y(along(right))}`}
        />
        {was !== null && <circle className="circuit-stage-was" cx={x(was.plateVolts)} cy={y(was.plateAmps)} r={4.5} />}
        <circle
          className={`circuit-stage-at${live ? " circuit-stage-live" : ""}`}
          cx={x(at.plateVolts)}
          cy={y(at.plateAmps)}
          r={4.5}
        />
        <text x={LEFT - 4} y={12} textAnchor="end">
          mA
        </text>
        <text x={LEFT - 4} y={y(at.plateAmps) + 4} textAnchor="end">
          {(1e3 * at.plateAmps).toPrecision(2)}
        </text>
        <text x={WIDTH - 2} y={HEIGHT - 5} textAnchor="end">
          {printed(stage.upToPlateVolts, "V", 2)}
        </text>
        <text x={x(at.plateVolts)} y={HEIGHT - 5} textAnchor="middle">
          {printed(at.plateVolts, "V", 3)}
        </text>
      </svg>
    </figure>
  );
}

const HEAT = Array.from({ length: 40 }, (_, n) => 0.1 + (0.9 * n) / 39);
