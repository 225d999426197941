import { readHarmonic, readTurn } from "@platewright/design";
import { readingsFigure } from "@platewright/drawing";
import { parseValue } from "@platewright/engine";
import { useId, useMemo, useState } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { partOf } from "../../state/edits.ts";
import { useAround, useHands, useSession } from "../../state/use-session.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./channels.ts";
import { calibratedAt } from "./size-at.ts";
import { apart, quantity } from "./words.ts";

type Calibrated = ValueOf<"voicingCalibrated">;
type Readings = readonly {
  readonly inputVolts: number;
  readonly reading: string;
  readonly drivePosition?: number | undefined;
}[];

const NONE: Readings = [];
/** Farther off than this many deviations is a surprise (docs/voicing.md). */
const SURPRISE_DEVIATIONS = 2.58;

/** The builder's own readings of the proven unit: facts of that unit, which calibrate what is predicted of both. */
export function Measured({ at, inputVolts }: { at: At; inputVolts: number }) {
  const { session } = useAround();
  const hands = useHands();
  const readings: Readings = useSession((state) => state.book.value.targets.measuredH2) ?? NONE;
  const { value, failure } = useAnswer("voicingCalibrated", at);
  const keep = (title: string, next: Readings) => {
    const before = session.getState().book.value.targets.measuredH2;
    hands.keep(title, [
      {
        target: "targets.measuredH2",
        ...(before === undefined ? {} : { before }),
        ...(next.length === 0 ? {} : { after: next }),
      },
    ]);
  };
  return (
    <section aria-labelledby="voicing-measured">
      <SectionHead id="voicing-measured" title="Measured on the proven unit" />
      <Condition at={at} />
      {readings.length > 0 && (
        <table>
          <thead>
            <tr>
              <th scope="col">Input</th>
              <th scope="col" className="number">
                H2 read
              </th>
              <th scope="col">Against the prediction</th>
              <th scope="col" className="no-print">
                <span className="unseen">Remove</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {readings.map((one, n) => (
              <tr key={`${one.inputVolts} ${one.reading} ${n}`}>
                <th scope="row">
                  {quantity(one.inputVolts, "V")}
                  {one.drivePosition === undefined ? "" : `, drive ${(one.drivePosition * 10).toFixed(1)}`}
                </th>
                <td className="number">
                  <b>{one.reading}</b>
                </td>
                <td className="voicing-wrap">{verdict(value, n)}</td>
                <td className="number no-print">
                  <button
                    type="button"
                    className="button quiet voicing-small"
                    aria-label={`Remove the reading at ${one.inputVolts} V`}
                    onClick={() =>
                      keep(
                        `Reading at ${quantity(one.inputVolts, "V")} removed`,
                        readings.filter((_, index) => index !== n),
                      )
                    }
                  >
                    Remove
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {value?.surprise === true && (
        <p role="status">
          A reading is further off than the model’s spread allows: look at level, wiring and meter before believing
          either.
        </p>
      )}
      <Entry
        usual={inputVolts}
        onAdd={(one) => keep(`Measured H2 ${one.reading} at ${quantity(one.inputVolts, "V")}`, [...readings, one])}
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      {value !== undefined && value.readings.some((one) => one.used) && (
        <BeforeAndAfter value={value} inputVolts={inputVolts} />
      )}
    </section>
  );
}

/** Under what the readings are understood to be taken. */
function Condition({ at }: { at: At }) {
  const provenId = useSession((state) => state.design.proven);
  const proven = useSession((state) => state.revisions.find((one) => one.id === provenId)?.document);
  const own = useSession((state) => state.book.value);
  const { value: controls } = useAnswer("voicingControls", at);
  const { targets } = proven ?? own;
  const drive =
    controls === undefined || controls.drive === null
      ? undefined
      : partOf(proven ?? own, controls.instance, controls.drive.part);
  const where = drive?.kind === "potentiometer" ? `, drive at ${(drive.position * 10).toFixed(1)}` : "";
  return (
    <p className="voicing-note">
      H2 at the output, 1 kHz, loaded with {targets.loadOhms.replace("k", "\u202fkΩ")} and{" "}
      {targets.loadFarads.replace("p", "\u202fpF")}
      {where} as in {provenId === undefined ? "this design" : `proven ${provenId}`}, unless a reading says otherwise.
    </p>
  );
}

function verdict(value: Calibrated | undefined, n: number): string {
  const reading = value?.readings[n];
  if (value === undefined || reading === undefined) return "";
  if (reading.deviations === null)
    return Number.isFinite(reading.ratio) ? "not used: no prediction there" : "not used: cannot be read";
  const expected = calibratedAt(value.proven, reading.inputVolts);
  const by = expected === undefined ? "" : apart(reading.ratio, expected.predictedRatio);
  return Math.abs(reading.deviations) > SURPRISE_DEVIATIONS ? `${by}, a surprise` : `${by}, as may be`;
}

type Levels = Calibrated["proven"];

/** Before and after, at the level in hand. */
function BeforeAndAfter({ value, inputVolts }: { value: Calibrated; inputVolts: number }) {
  const [box, { width }] = useSize<HTMLDivElement>();
  const millimetres = Math.floor(width / PIXELS_PER_MILLIMETRE);
  const [proven, now] = [calibratedAt(value.proven, inputVolts), calibratedAt(value.now, inputVolts)];
  const read = value.readings
    .filter((one) => one.used && proven !== undefined && Math.abs(Math.log(one.inputVolts / inputVolts)) < 0.1)
    .map((one) => one.ratio);
  const said = JSON.stringify(read);
  const scene = useMemo(() => {
    if (millimetres < 60 || proven === undefined || now === undefined) return undefined;
    const before = (name: string, one: Levels[number]) => ({
      name,
      ratio: one.predictedRatio,
      low: one.predictedRatio * 10 ** (-one.priorBandDecibels / 20),
      high: one.predictedRatio * 10 ** (one.priorBandDecibels / 20),
      before: true,
    });
    const after = (name: string, one: Levels[number]) => ({
      name,
      ratio: one.ratio,
      low: one.lowRatio,
      high: one.highRatio,
    });
    return readingsFigure({
      title: "H2 before and after your readings",
      width: millimetres,
      rows: [
        before("proven, predicted", proven),
        after("with your readings", proven),
        before("now, predicted", now),
        after("with your readings", now),
      ],
      read: JSON.parse(said) as number[],
    });
  }, [millimetres, proven, now, said]);
  return (
    <div className="voicing-calibrated" role="status">
      <h3 className="voicing-under">
        H2 at {proven === undefined ? "" : quantity(proven.inputVolts, "V")} in, before and after
      </h3>
      <div ref={box} className="voicing-figure">
        {scene !== undefined && <SceneView scene={scene} />}
      </div>
      {now !== undefined && (
        <p className="voicing-note">
          Now: ±{now.priorBandDecibels.toFixed(1)} dB before, ±{now.bandDecibels.toFixed(1)} dB with them; nine units of
          ten are expected within.{" "}
          {value.sameStage
            ? "The gain stage is the proven one."
            : "The gain stage is not the proven one: less carries over."}
        </p>
      )}
    </div>
  );
}

function Entry({ usual, onAdd }: { usual: number; onAdd: (reading: Readings[number]) => void }) {
  const [volts, setVolts] = useState("");
  const [reading, setReading] = useState("");
  const [drive, setDrive] = useState("");
  const [wrong, setWrong] = useState<string>();
  const id = useId();
  const submit = () => {
    const level = parseValue("voltage", volts.trim() === "" ? String(usual) : volts);
    const ratio = readHarmonic(reading);
    const turn = drive.trim() === "" ? undefined : readTurn(drive);
    setWrong(
      !level.ok ? level.failure.sentence : !ratio.ok ? ratio.failure : turn?.ok === false ? turn.failure : undefined,
    );
    if (!level.ok || !ratio.ok || turn?.ok === false) return;
    onAdd({
      inputVolts: level.value,
      reading: reading.trim(),
      ...(turn === undefined ? {} : { drivePosition: Number(turn.value.toFixed(3)) }),
    });
    setVolts("");
    setReading("");
    setDrive("");
  };
  return (
    <form
      className="voicing-entry no-print"
      onSubmit={(event) => {
        event.preventDefault();
        submit();
      }}
    >
      <label>
        Input
        <input
          className="field"
          aria-label="Input level of the reading"
          placeholder={quantity(usual, "V")}
          value={volts}
          onChange={(event) => setVolts(event.currentTarget.value)}
        />
      </label>
      <label>
        H2
        <input
          className="field voicing-reading"
          aria-label="H2 as read"
          placeholder="0.57 % or −45 dB"
          value={reading}
          aria-invalid={wrong !== undefined}
          aria-describedby={wrong === undefined ? undefined : id}
          onChange={(event) => setReading(event.currentTarget.value)}
        />
      </label>
      <label>
        Drive
        <input
          className="field"
          aria-label="Drive at the reading"
          placeholder="as it is"
          value={drive}
          onChange={(event) => setDrive(event.currentTarget.value)}
        />
      </label>
      <button type="submit" className="button">
        Enter
      </button>
      {wrong !== undefined && (
        <p id={id} className="field-words" role="alert">
          {wrong}
        </p>
      )}
    </form>
  );
}
