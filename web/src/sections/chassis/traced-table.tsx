import type { DocumentHole } from "@platewright/design";
import { LevelSign } from "../../parts/level.tsx";
import { about, mm } from "./read-length.ts";
import { enteredAt } from "./shown-marks.ts";
import { DIFFERENCE_WARNED } from "./trace.ts";
import type { Traced } from "./trace-marks.ts";

/** The scale, and how far its two directions agree. */
export function MapSaid({ traced: { map } }: { traced: Traced }) {
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

/** Holes as they were read, each with what it is good to. */
export function TracedTable({
  traced,
  entered,
  onRemove,
}: {
  traced: Traced;
  /** Holes of the document. */
  entered: readonly DocumentHole[];
  onRemove: (at: number) => void;
}) {
  const there = traced.holes.flatMap((one, n) => {
    const id = one.ok ? enteredAt(one.value, entered) : undefined;
    return id === undefined ? [] : [{ n: n + 1, id }];
  });
  return (
    <>
      <table className="metal-traced">
        <thead>
          <tr>
            <th scope="col">Hole</th>
            {["x", "y", "±", "Ø", "±"].map((words, n) => (
              <th key={n} scope="col" className="number">
                {words}
              </th>
            ))}
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
                  <td className="number">{tenths(one.value.x)}</td>
                  <td className="number">{tenths(one.value.y)}</td>
                  <td className="number muted">{about(one.value.placeMillimetres)}</td>
                  <td className="number">{tenths(one.value.diameterMillimetres)}</td>
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
                  onClick={() => onRemove(n)}
                >
                  out
                </button>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {there.length > 0 && (
        <p className="metal-map">
          <LevelSign level="watch" words="there already" /> {there.map(({ n, id }) => `${n} lies on ${id}`).join(", ")}:
          take {there.length === 1 ? "it" : "them"} out, or the hole is entered twice.
        </p>
      )}
      <p className="metal-note">
        ± is what clicks, ruler and slant are good to, in mm. Lens and height of the metal are not in it: measure each
        hole before a part is made to fit it.
      </p>
    </>
  );
}

const tenths = (millimetres: number): string => millimetres.toFixed(1).replace("-", "−");
