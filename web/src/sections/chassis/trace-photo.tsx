import { useEffect, useMemo, useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { useSize } from "../../parts/use-size.ts";
import { LengthInput, Refused } from "./fields.tsx";
import { addHoles } from "./metal-edits.ts";
import type { PanelProps } from "./panel.ts";
import { PhotoStage, type ShownMark } from "./photo-stage.tsx";
import { about, mm, readLength, SMALLEST } from "./read-length.ts";
import { DIFFERENCE_WARNED } from "./trace.ts";
import { marked, nextOf, NO_MARKS, STEPS, tracedOf, type Traced, unmarked, withoutHole } from "./trace-marks.ts";
import { useMetal } from "./use-metal.ts";

/** Larger pictures are read at this many pixels on their longer side: more than a hand can point at. */
const LARGEST_SIDE = 6000;
/** Of the window's height, as in the style. */
const STAGE_SHARE = 0.62;
const ZOOMS = [0.1, 0.15, 0.25, 0.35, 0.5, 0.7, 1, 1.5, 2, 3, 4, 6] as const;

/** Holes traced from a photo of the plate; the picture stays in this page. */
export function TracePhoto({ onChoose }: PanelProps) {
  const has = useSession((session) => session.book.value.chassis !== undefined);
  const [picture, setPicture] = useState<ImageBitmap>();
  const [name, setName] = useState("");
  const [wrong, setWrong] = useState<string>();
  useEffect(() => () => picture?.close(), [picture]);
  const take = async (file: File | undefined) => {
    if (file === undefined) return;
    try {
      setPicture(await readPicture(file));
      setName(file.name);
      setWrong(undefined);
    } catch {
      setWrong(`${file.name} is no picture that can be read; a JPEG, PNG or WebP file can.`);
    }
  };
  if (!has) return <p className="metal-note">Begin a plate first.</p>;
  return (
    <section className="metal-trace" aria-labelledby="metal-trace">
      <SectionHead
        id="metal-trace"
        title="From a photo"
        note="the picture stays in this page; nothing is sent"
        end={
          <label className="button metal-file no-print">
            {picture === undefined ? "Choose a photo" : "Another photo"}
            <input
              type="file"
              accept="image/*"
              className="unseen"
              onChange={(event) => {
                void take(event.currentTarget.files?.[0]);
                event.currentTarget.value = "";
              }}
            />
          </label>
        }
      />
      <Refused words={wrong} />
      {picture === undefined ? (
        <p className="metal-note">
          Take it from straight above, from as far as the plate still fills the picture, with a ruler on the metal or
          two distances that you have measured: one along the front edge, one across.
        </p>
      ) : (
        <Tracing key={name} name={name} picture={picture} onChoose={onChoose} />
      )}
    </section>
  );
}

async function readPicture(file: File): Promise<ImageBitmap> {
  const whole = await createImageBitmap(file);
  const longer = Math.max(whole.width, whole.height);
  if (longer <= LARGEST_SIDE) return whole;
  const share = LARGEST_SIDE / longer;
  const smaller = await createImageBitmap(whole, {
    resizeWidth: Math.round(whole.width * share),
    resizeHeight: Math.round(whole.height * share),
    resizeQuality: "high",
  });
  whole.close();
  return smaller;
}

const read = (text: string): number | undefined => {
  const found = readLength(text, SMALLEST, 2000);
  return found.ok ? found.value : undefined;
};

function Tracing({
  name,
  picture,
  onChoose,
}: {
  name: string;
  picture: ImageBitmap;
  onChoose: PanelProps["onChoose"];
}) {
  const metal = useMetal();
  const [marks, setMarks] = useState(NO_MARKS);
  const [along, setAlong] = useState("");
  const [across, setAcross] = useState("");
  const [seen, setSeen] = useState<"above" | "below">("above");
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
    const wider = ZOOMS.filter((one) => (by > 0 ? one > scale * 1.001 : one < scale * 0.999));
    setZoom((by > 0 ? wider[0] : wider.at(-1)) ?? scale);
  };
  const next = nextOf(marks);
  const wanted =
    next === undefined
      ? marks.by === "centre"
        ? (["the centre of a hole", "a point of its rim"][marks.begun.length] ?? "")
        : `rim point ${marks.begun.length + 1} of 3 of a hole`
      : (STEPS.find((one) => one.id === next)?.words ?? "");
  const good = (traced?.holes ?? []).flatMap((one) => (one.ok ? [one.value] : []));
  const keep = () => {
    const holes = good.map((one) => ({
      x: hundredths(one.x),
      y: hundredths(one.y),
      shape: { kind: "circle" as const, diameterMillimetres: hundredths(one.diameterMillimetres) },
      state: "cut" as const,
      note: `from a photo: place within ${about(one.placeMillimetres)} mm, size within ${about(one.sizeMillimetres)} mm`,
    }));
    const sentence = metal.keep((kept) =>
      addHoles(kept, `${holes.length} hole${holes.length === 1 ? "" : "s"} traced from a photo`, holes),
    );
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
          marks={shownMarks(marks)}
          next={wanted}
          onZoom={step}
          onMark={(mark) => setMarks((was) => marked(was, mark))}
          onUnmark={() => setMarks(unmarked)}
        />
        <p className="metal-note" id="metal-photo-keys">
          Press on the photo, or move the cross with the arrows (Shift: ten pixels) and press Enter. Backspace takes the
          last mark back; + and − change the size.
        </p>
      </div>
      <div className="metal-trace-steps">
        <ol className="metal-steps">
          <FrameStep
            marks={marks}
            ids={["alongFrom", "alongTo"]}
            title="Known distance along the front"
            onAgain={(again) => setMarks({ ...marks, again })}
          >
            <LengthInput label="Length" text={along} onText={setAlong} />
          </FrameStep>
          <FrameStep
            marks={marks}
            ids={["acrossFrom", "acrossTo"]}
            title="Known distance across"
            onAgain={(again) => setMarks({ ...marks, again })}
          >
            <LengthInput label="Length" text={across} onText={setAcross} />
          </FrameStep>
          <FrameStep
            marks={marks}
            ids={["corner", "edge"]}
            title="Front left corner, front edge"
            onAgain={(again) => setMarks({ ...marks, again })}
          >
            <Choice
              label="The photo shows it"
              options={[
                { value: "above", words: "From above" },
                { value: "below", words: "From below" },
              ]}
              value={seen}
              onChoose={setSeen}
            />
            {seen === "below" && (
              <span className="metal-note">
                The front left corner seen from above: the front right one in the photo.
              </span>
            )}
          </FrameStep>
          <li className={next === undefined ? "metal-step-now" : undefined}>
            <b>Holes</b>
            <Choice
              label="A hole by"
              options={[
                { value: "centre", words: "Centre and rim" },
                { value: "rim", words: "Three rim points" },
              ]}
              value={marks.by}
              onChoose={(by) => setMarks({ ...marks, by, begun: [] })}
            />
          </li>
        </ol>
        {traced !== undefined && <MapSaid traced={traced} />}
        {traced !== undefined && marks.holes.length > 0 && (
          <table className="metal-traced">
            <thead>
              <tr>
                <th scope="col">Hole</th>
                <th scope="col" className="number">
                  x
                </th>
                <th scope="col" className="number">
                  y
                </th>
                <th scope="col" className="number">
                  ±
                </th>
                <th scope="col" className="number">
                  Ø
                </th>
                <th scope="col" className="number">
                  ±
                </th>
                <th scope="col">
                  <span className="unseen">Take out</span>
                </th>
              </tr>
            </thead>
            <tbody>
              {traced.holes.map((one, n) => (
                <tr key={n}>
                  <th scope="row">{n + 1}</th>
                  {one.ok ? (
                    <>
                      <td className="number">{one.value.x.toFixed(1).replace("-", "−")}</td>
                      <td className="number">{one.value.y.toFixed(1).replace("-", "−")}</td>
                      <td className="number muted">{about(one.value.placeMillimetres)}</td>
                      <td className="number">{one.value.diameterMillimetres.toFixed(1)}</td>
                      <td className="number muted">{about(one.value.sizeMillimetres)}</td>
                    </>
                  ) : (
                    <td colSpan={5} className="metal-wrap">
                      {one.failure}
                    </td>
                  )}
                  <td>
                    <button
                      type="button"
                      className="button quiet"
                      aria-label={`Take hole ${n + 1} out`}
                      onClick={() => setMarks(withoutHole(marks, n))}
                    >
                      out
                    </button>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        )}
        {good.length > 0 && (
          <p className="metal-note">
            ± is what clicks, ruler and slant are good to, in mm. Lens and height of the metal are not in it: measure
            each hole before a part is made to fit it.
          </p>
        )}
        <Refused words={refused} />
        <div className="metal-buttons">
          <button type="button" className="button primary" disabled={good.length === 0} onClick={keep}>
            {good.length === 0 ? "Keep the holes" : `Keep ${good.length} hole${good.length === 1 ? "" : "s"} as cut`}
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

const hundredths = (millimetres: number): number => Math.round(millimetres * 100) / 100;

function FrameStep({
  marks,
  ids,
  title,
  onAgain,
  children,
}: {
  marks: typeof NO_MARKS;
  ids: readonly (typeof STEPS)[number]["id"][];
  title: string;
  onAgain: (id: (typeof STEPS)[number]["id"]) => void;
  children: React.ReactNode;
}) {
  const next = nextOf(marks);
  const names = ids[0] === "corner" ? ["corner", "edge point"] : ["one end", "other end"];
  return (
    <li className={next !== undefined && ids.includes(next) ? "metal-step-now" : undefined}>
      <b>{title}</b>
      <span className="metal-step-marks">
        {ids.map((id, n) => (
          <button key={id} type="button" className="metal-link" aria-pressed={next === id} onClick={() => onAgain(id)}>
            {names[n]}
            {marks.frame[id] === undefined ? "" : " ✓"}
          </button>
        ))}
      </span>
      {children}
    </li>
  );
}

/** The scale, and how far its two directions agree. */
function MapSaid({ traced: { map } }: { traced: Traced }) {
  if (!map.ok)
    return (
      <p className="metal-map" role="alert">
        <LevelSign level="stop" words="not read" /> {map.failure}
      </p>
    );
  const { along, across, differencePercent } = map.value;
  const warned = differencePercent > DIFFERENCE_WARNED;
  return (
    <p className="metal-map" role="status">
      <LevelSign level={warned ? "watch" : "ok"} words={warned ? "slant" : "straight"} /> {mm((along + across) / 2)} mm
      to a pixel; along and across differ by {differencePercent.toFixed(2)} %
      {warned ? ": the photo was taken at a slant, and places are that much less sure." : "."}
    </p>
  );
}

function shownMarks(marks: typeof NO_MARKS): readonly ShownMark[] {
  const names: { readonly [M in (typeof STEPS)[number]["id"]]: string } = {
    alongFrom: "along",
    alongTo: "along",
    acrossFrom: "across",
    acrossTo: "across",
    corner: "0, 0",
    edge: "front edge",
  };
  return [
    ...STEPS.flatMap(({ id }): readonly ShownMark[] => {
      const mark = marks.frame[id];
      return mark === undefined ? [] : [{ u: mark.u, v: mark.v, words: names[id] }];
    }),
    ...marks.holes.flatMap(({ by, marks: set }, n): readonly ShownMark[] => {
      const [first, second] = set;
      if (first === undefined || second === undefined) return [];
      return by === "centre"
        ? [{ u: first.u, v: first.v, words: String(n + 1), radius: Math.hypot(second.u - first.u, second.v - first.v) }]
        : set.map(({ u, v }, k) => ({ u, v, words: k === 0 ? String(n + 1) : "" }));
    }),
    ...marks.begun.map(({ u, v }) => ({ u, v, words: "" })),
  ];
}
