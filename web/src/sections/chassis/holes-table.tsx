import { memo, useMemo, useState } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { useKept } from "../../state/use-kept.ts";
import type { HoleRow } from "./hole-rows.ts";
import type { PanelProps } from "./panel.ts";

const NONE = {};
const NO_LIVE: ReadonlySet<string> = new Set();
const NO_ROWS: readonly HoleRow[] = [];

/** Every hole from the datum, what is to be done first; which tool makes it. */
export function HolesTable({ chosen, onChoose }: PanelProps) {
  const { value: rows, failure, fresh } = useAnswer("chassisHoles", NONE);
  const before = useKept(rows, fresh);
  const inHand = useSession((session) => session.hand !== undefined);
  const live = useMemo(() => {
    if (!inHand) return NO_LIVE;
    const was = new Map(before?.map((row) => [row.id, JSON.stringify(row)]));
    return new Set((rows ?? []).filter((row) => was.get(row.id) !== JSON.stringify(row)).map(({ id }) => id));
  }, [inHand, rows, before]);
  const [inches, setInches] = useState(false);
  const due = (rows ?? []).filter((row) => row.work !== "done" && row.work !== "spare").length;
  return (
    <section aria-labelledby="chassis-holes" className="chassis-holes">
      <SectionHead
        id="chassis-holes"
        title="Holes"
        note={
          rows === undefined ? "" : `${rows.length}, ${due === 0 ? "none to be made" : `${due} to be made or decided`}`
        }
        end={
          <label className="chassis-tick no-print">
            <input type="checkbox" checked={inches} onChange={({ currentTarget: { checked } }) => setInches(checked)} />
            inches too
          </label>
        }
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      <div
        className="chassis-scroll"
        tabIndex={0}
        role="group"
        aria-label="Holes, millimetres from the front left corner"
      >
        <table>
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
                Ø
              </th>
              <th scope="col">Work</th>
              <th scope="col">Key</th>
            </tr>
          </thead>
          <tbody>
            <Rows rows={rows ?? NO_ROWS} live={live} chosen={chosen} onChoose={onChoose} inches={inches} />
          </tbody>
        </table>
      </div>
      <Order />
    </section>
  );
}

/** Drawn again when a row is another, not with every answer. */
const Rows = memo(function Rows({
  rows,
  live,
  chosen,
  onChoose,
  inches,
}: { rows: readonly HoleRow[]; live: ReadonlySet<string>; inches: boolean } & PanelProps) {
  return rows.map((row) => {
    const isChosen =
      row.id === chosen?.hole || (chosen?.hole === undefined && row.item !== null && row.item === chosen?.item);
    return (
      <tr
        key={row.id}
        className={`chassis-${row.work}${isChosen ? " chassis-row-chosen" : ""}${live.has(row.id) ? " chassis-row-live" : ""}`}
      >
        <th scope="row">
          <button
            type="button"
            className="chassis-say"
            aria-pressed={row.id === chosen?.hole}
            onClick={() => onChoose({ ...(row.item === null ? {} : { item: row.item }), hole: row.id })}
          >
            {row.existing !== null && row.work !== "unresolved" && <b>{row.existing}</b>}{" "}
            {row.existing === row.label ? "" : row.label}
          </button>
        </th>
        <td className="number">{both(row.x, inches)}</td>
        <td className="number">{both(row.y, inches)}</td>
        <td className="number chassis-size">{sizeOf(row, inches)}</td>
        <td className="chassis-work">
          <Work row={row} />
        </td>
        <td>{row.key}</td>
      </tr>
    );
  });
});

const tenths = (millimetres: number): string => (Math.round(millimetres * 10) / 10).toFixed(1).replace("-", "−");
const inch = (millimetres: number): string => `${(millimetres / 25.4).toFixed(3).replace("-", "−")}″`;

function both(millimetres: number, inches: boolean, thread: string | null = null) {
  return (
    <>
      {tenths(millimetres)}
      {thread !== null && `, ${thread}`}
      {inches && <span className="chassis-inch"> {inch(millimetres)}</span>}
    </>
  );
}

const sizeOf = ({ shape, thread }: HoleRow, inches: boolean) =>
  shape.kind === "rectangle"
    ? `${String(shape.widthMillimetres)} × ${String(shape.heightMillimetres)}`
    : both(shape.diameterMillimetres, inches, thread);

function Work({ row }: { row: HoleRow }) {
  switch (row.work) {
    case "done":
      return <span className="muted">done</span>;
    case "spare":
      return <span className="muted">spare</span>;
    case "close":
      return <>plug it</>;
    case "unresolved":
      return (
        <>
          <LevelSign level="stop" words={`${row.existing ?? "a hole"} is in the way`} />
        </>
      );
    default:
      return (
        <>
          {row.work === "open-up" ? "open up: " : ""}
          {row.in === "plate" ? "" : `in the ${IN[row.in]}: `}
          {row.tool === "" ? "no tool" : row.tool}
          {row.traps.length > 0 && (
            // Words alone: a picture for each of hundreds of rows is paid for with every frame of a drag.
            <span className="chassis-trap" title={row.traps.join(". ")}>
              {" "}
              · watch its trade size
            </span>
          )}
        </>
      );
  }
}

const IN: Readonly<Record<Exclude<HoleRow["in"], "plate">, string>> = {
  "adapter-ring": "ring",
  "cover-plate": "cover plate",
  "sub-plate": "sub-plate",
};

/** The work itself, step by step. */
function Order() {
  const { value: steps } = useAnswer("chassisWork", NONE);
  const [open, setOpen] = useState(false);
  if (steps === undefined || steps.length === 0) return null;
  return (
    <div className="chassis-order">
      <button
        type="button"
        className="button quiet no-print"
        aria-expanded={open}
        onClick={() => setOpen((was) => !was)}
      >
        Order of work, {steps.length === 1 ? "one step" : `${steps.length} steps`}
      </button>
      {open && (
        <ol>
          {steps.map((step, n) => (
            <li key={n}>
              {step.caution !== undefined && <p className="caution">{step.caution}</p>}
              {step.words}
            </li>
          ))}
        </ol>
      )}
    </div>
  );
}
