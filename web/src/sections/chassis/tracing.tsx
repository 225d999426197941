import type { Chassis } from "@platewright/design";
import { useMemo, useState } from "react";
import { useSize } from "../../parts/use-size.ts";
import { Refused } from "./fields.tsx";
import { addHoles, holesPast } from "./metal-edits.ts";
import type { PanelProps } from "./panel.ts";
import { PhotoStage } from "./photo-stage.tsx";
import { about, mm, readLength, SMALLEST } from "./read-length.ts";
import { enteredHoles, shownMarks } from "./shown-marks.ts";
import { marked, type Marks, nextOf, NO_MARKS, STEPS, tracedOf, unmarked, withoutHole } from "./trace-marks.ts";
import { type SeenFrom, TraceSteps } from "./trace-steps.tsx";
import { MapSaid, TracedTable } from "./traced-table.tsx";
import { useMetal } from "./use-metal.ts";

/** Of the window's height, as in the style. */
const STAGE_SHARE = 0.62;
const ZOOMS = [0.1, 0.15, 0.25, 0.35, 0.5, 0.7, 1, 1.5, 2, 3, 4, 6] as const;

const read = (text: string): number | undefined => {
  const found = readLength(text, SMALLEST, 2000);
  return found.ok ? found.value : undefined;
};

const hundredths = (millimetres: number): number => Math.round(millimetres * 100) / 100;

/** The photo with its marks, what comes next, and the holes that were read. */
export function Tracing({
  name,
  picture,
  chassis,
  onChoose,
}: {
  name: string;
  picture: ImageBitmap;
  chassis: Chassis;
  onChoose: PanelProps["onChoose"];
}) {
  const metal = useMetal();
  const [marks, setMarks] = useState(NO_MARKS);
  const [along, setAlong] = useState("");
  const [across, setAcross] = useState("");
  const [seen, setSeen] = useState<SeenFrom>("above");
  const [zoom, setZoom] = useState<number>();
  const [refused, setRefused] = useState<string>();
  const [box, { width }] = useSize<HTMLDivElement>();
  const fit =
    width === 0 ? 1 : Math.min(1, (width - 2) / picture.width, (STAGE_SHARE * window.innerHeight - 2) / picture.height);
  const scale = zoom ?? fit;
  const traced = useMemo(
    () => tracedOf(marks, { along: read(along), across: read(across) }, seen === "below"),
    [marks, along, across, seen],
  );
  const step = (by: 1 | -1) => {
    const further = ZOOMS.filter((one) => (by > 0 ? one > scale * 1.001 : one < scale * 0.999));
    setZoom((by > 0 ? further[0] : further.at(-1)) ?? scale);
  };
  const wanted = wantedWords(marks);
  const good = (traced?.holes ?? []).flatMap((one) => (one.ok ? [one.value] : []));
  const many = `${good.length} hole${good.length === 1 ? "" : "s"}`;
  const keep = () => {
    const holes = good.map((one) => ({
      x: hundredths(one.x),
      y: hundredths(one.y),
      shape: { kind: "circle" as const, diameterMillimetres: hundredths(one.diameterMillimetres) },
      state: "cut" as const,
      note: `from a photo: place within ${about(one.placeMillimetres)} mm, size within ${about(one.sizeMillimetres)} mm`,
    }));
    const numbers = (traced?.holes ?? []).flatMap((one, n) => (one.ok ? [String(n + 1)] : []));
    const named = holes.map((hole, n) => ({ ...hole, id: numbers[n] ?? "" }));
    const past = holesPast({ ...chassis, holes: named }, chassis.plate).map((one) => one.id);
    if (past.length > 0) {
      setRefused(
        `${past.join(", ")} ${past.length === 1 ? "reaches" : "reach"} past the plate of ${mm(chassis.plate.widthMillimetres)} × ${mm(chassis.plate.depthMillimetres)} mm; check the marks, or the size of the plate.`,
      );
      return;
    }
    const sentence = metal.keep((kept) => addHoles(kept, `${many} traced from a photo`, holes));
    setRefused(sentence);
    if (sentence !== undefined) return;
    setMarks({ ...marks, holes: [], begun: [] });
    onChoose(undefined);
  };
  return (
    <div className="metal-tracing">
      <div className="metal-trace-photo" ref={box}>
        <div className="metal-trace-bar">
          <p className="metal-next" aria-live="polite">
            <b>Next:</b> {wanted}
          </p>
          <span className="metal-zoom">
            <button type="button" className="button" aria-label="Smaller" onClick={() => step(-1)}>
              −
            </button>
            <button type="button" className="button" onClick={() => setZoom(undefined)}>
              {Math.round(scale * 100)} %
            </button>
            <button type="button" className="button" aria-label="Larger" onClick={() => step(1)}>
              +
            </button>
          </span>
        </div>
        <PhotoStage
          picture={picture}
          zoom={scale}
          marks={[
            ...(traced?.map.ok === true ? enteredHoles(traced.map.value, chassis.holes) : []),
            ...shownMarks(marks, traced),
          ]}
          next={wanted}
          onZoom={step}
          onMark={(mark) => setMarks((was) => marked(was, mark))}
          onUnmark={() => setMarks(unmarked)}
        />
        <p className="metal-note" id="metal-photo-keys">
          Press on the photo, or move the cross with the arrows (Shift: ten pixels) and press Enter. Backspace takes the
          last mark back; + and − change the size. Dashed: holes that are entered already.
        </p>
      </div>
      <div className="metal-trace-steps">
        <TraceSteps
          marks={marks}
          plate={chassis.plate}
          along={along}
          across={across}
          seen={seen}
          onMarks={setMarks}
          onAlong={setAlong}
          onAcross={setAcross}
          onSeen={setSeen}
        />
        {traced !== undefined && <MapSaid traced={traced} />}
        {traced !== undefined && marks.holes.length > 0 && (
          <TracedTable traced={traced} entered={chassis.holes} onRemove={(at) => setMarks(withoutHole(marks, at))} />
        )}
        <Refused words={refused} />
        <div className="metal-buttons">
          <button type="button" className="button primary" disabled={good.length === 0} onClick={keep}>
            {good.length === 0 ? "Keep the holes" : `Keep ${many} as cut`}
          </button>
          <button type="button" className="button quiet" onClick={() => setMarks(NO_MARKS)}>
            Begin again
          </button>
        </div>
        <p className="metal-note metal-photo-name">
          {name}, {picture.width} × {picture.height} pixels
        </p>
      </div>
    </div>
  );
}

function wantedWords(marks: Marks): string {
  const next = nextOf(marks);
  if (next !== undefined) return STEPS.find((one) => one.id === next)?.words ?? "";
  return marks.by === "rim"
    ? `rim point ${marks.begun.length + 1} of 3 of a hole`
    : marks.begun.length === 0
      ? "the centre of a hole"
      : "a point of its rim";
}
