import { useState } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { usePreview } from "../../state/use-preview.ts";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { ValueOf } from "../../worker/asks.ts";
import { Asking, PickField } from "./fields.tsx";
import type { PanelProps } from "./panel.ts";
import { mm } from "./read-length.ts";

const NONE = {};

type Rotation = NonNullable<ValueOf<"chassisTurn">>;
type Turned = Rotation["now"];

/** How a socket is turned, and how it would be better: wires of the grids and of the heaters, and where they cross. */
export function Turns({ chosen, onChoose }: PanelProps) {
  const told = useAnswer("chassisSockets", NONE);
  const sockets = told.value ?? [];
  const item = sockets.find((one) => one.item === chosen?.item)?.item ?? sockets[0]?.item;
  return (
    <section className="metal-turns" aria-labelledby="metal-turns" tabIndex={-1}>
      <SectionHead
        id="metal-turns"
        title="Turn of a socket"
        note="straight wires: they tell the better of two turns, not lengths to cut"
      />
      <Asking told={told} what="following the wires…" />
      {told.value !== undefined && item === undefined && (
        <p className="metal-note">No socket on the plate has wires that lead to another part.</p>
      )}
      {item !== undefined && (
        <>
          <PickField
            label="Socket"
            value={item}
            options={sockets.map((one) => ({
              value: one.item,
              words: `${one.item}${one.crossings > 0 ? `, ${crossingWords(one.crossings)}` : ""}${one.better ? ", could be better" : ""}`,
            }))}
            onPick={(next) => onChoose({ item: next })}
          />
          <Socket key={item} item={item} />
        </>
      )}
    </section>
  );
}

const crossingWords = (crossings: number): string =>
  crossings === 0 ? "none" : crossings === 1 ? "1 crossing" : `${crossings} crossings`;

function Socket({ item }: { item: string }) {
  const told = useAnswer("chassisTurn", { item });
  const [all, setAll] = useState(false);
  const rotation = told.value;
  if (rotation === undefined) return <Asking told={told} what="trying every turn…" />;
  if (rotation === null) return <p className="metal-note">Its wires lead to nothing on the plate yet.</p>;
  const { now, best, bestAsCut } = rotation;
  const rows = [
    { name: "Now", turn: now },
    ...(bestAsCut !== null && !same(bestAsCut, now) ? [{ name: "Best in its holes", turn: bestAsCut }] : []),
    ...(best !== null && !same(best, now) && (bestAsCut === null || !same(best, bestAsCut))
      ? [{ name: "Best of all", turn: best }]
      : []),
  ];
  return (
    <div className="metal-turn">
      <Picture item={item} />
      <div>
        <TurnTable item={item} rows={rows} />
        <p className="metal-note">{judged(item, rotation)}</p>
        <button type="button" className="button quiet no-print" aria-expanded={all} onClick={() => setAll(!all)}>
          {all ? "Hide the other turns" : "Show every turn"}
        </button>
        {all && (
          <TurnTable
            item={item}
            rows={rotation.turns
              .filter((turn) => !rows.some((row) => same(row.turn, turn)))
              .map((turn) => ({ name: "", turn }))}
          />
        )}
      </div>
    </div>
  );
}

/** What the table comes to. */
function judged(item: string, { now, best, bestAsCut }: Rotation): string {
  if (best === null || same(best, now)) return `${item} is turned as well as it can be.`;
  if (bestAsCut === null) return "No turn goes into the holes that are there; each wants others.";
  if (same(bestAsCut, now))
    return `In the holes that are there ${item} is turned as well as it can be; the better turn wants other screw holes.`;
  return same(bestAsCut, best)
    ? `The holes that are there take ${item} as it would be best.`
    : `The holes that are there take a better turn; the best wants other screw holes.`;
}

const WIDEST = 150;

function Picture({ item }: { item: string }) {
  const [box, { width }] = useSize<HTMLDivElement>();
  return (
    <div ref={box} className="metal-picture metal-turn-picture">
      {width > 0 && <Drawn item={item} width={Math.min(WIDEST, Math.floor(width / PIXELS_PER_MILLIMETRE))} />}
    </div>
  );
}

function Drawn({ item, width }: { item: string; width: number }) {
  const { value } = useAnswer("chassisTurnDrawn", { item, width });
  return value === undefined || value === null ? null : <SceneView scene={value} />;
}

const same = (one: Turned, other: Turned): boolean => (((one.degrees - other.degrees) % 360) + 360) % 360 === 0;

function TurnTable({
  item,
  rows,
}: {
  item: string;
  rows: readonly { readonly name: string; readonly turn: Turned }[];
}) {
  const degrees = useSession((session) => session.book.value.chassis?.items.find((one) => one.id === item)?.degrees);
  return (
    <table className="metal-turn-table">
      <thead>
        <tr>
          <th scope="col">Turn</th>
          <th scope="col" className="number">
            Grid wires
          </th>
          <th scope="col" className="number">
            Heater wires
          </th>
          <th scope="col" className="number">
            Cross
          </th>
          <th scope="col">Its holes</th>
          <th scope="col">
            <span className="unseen">Do</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.map(({ name, turn }) => (
          <tr key={`${name} ${turn.degrees}`}>
            <th scope="row">
              {name !== "" && <b>{name} </b>}
              {mm(turn.degrees)}°
            </th>
            <td className="number">{Math.round(turn.gridMillimetres)} mm</td>
            <td className="number">{Math.round(turn.heaterMillimetres)} mm</td>
            <td className="number">{turn.crossings}</td>
            <td>{turn.asCut ? "take it so" : "others wanted"}</td>
            <td>
              {degrees !== undefined && name !== "Now" && <TurnButton item={item} before={degrees} to={turn.degrees} />}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function TurnButton({ item, before, to }: { item: string; before: number; to: number }) {
  const title = `Turn ${item} to ${mm(to)}°`;
  const preview = usePreview(title, [{ target: `chassis.items[${item}].degrees`, before, after: to }]);
  return (
    <button type="button" className="button no-print" {...preview}>
      Turn to {mm(to)}°
    </button>
  );
}
