import type { ShelfFile } from "@platewright/design";
import { SectionHead } from "../../parts/section-head.tsx";
import { useHands } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { TubeCard } from "./asks.ts";
import { CountField } from "./count-field.tsx";
import { countTubes, removeTubes } from "./shelf-edits.ts";

/** Tubes and rectifiers on the shelf: what each is, where it stands in the design, how many there are. */
export function TubeTables({ shelf, onCompare }: { shelf: ShelfFile; onCompare: (type: string) => void }) {
  const { value: cards, failure } = useAnswer("tubeCards", { types: shelf.tubes.map((one) => one.type) });
  const cardOf = (type: string) => cards?.find((one) => one.type === type);
  const rectifiers = shelf.tubes.filter((one) => cardOf(one.type)?.kind === "rectifier");
  const others = shelf.tubes.filter((one) => !rectifiers.includes(one));
  return (
    <>
      {failure !== undefined && <p>{failure}</p>}
      <TubeTable id="shelf-tubes" title="Tubes" rows={others} cardOf={cardOf} shelf={shelf} onCompare={onCompare} />
      <TubeTable
        id="shelf-rectifiers"
        title="Rectifiers"
        rows={rectifiers}
        cardOf={cardOf}
        shelf={shelf}
        onCompare={onCompare}
      />
    </>
  );
}

function TubeTable({
  id,
  title,
  rows,
  cardOf,
  shelf,
  onCompare,
}: {
  id: string;
  title: string;
  rows: ShelfFile["tubes"];
  cardOf: (type: string) => TubeCard | undefined;
  shelf: ShelfFile;
  onCompare: (type: string) => void;
}) {
  const hands = useHands();
  return (
    <section aria-labelledby={id}>
      <SectionHead id={id} title={title} end={pieces(rows.reduce((sum, one) => sum + one.count, 0))} />
      {rows.length === 0 ? (
        <p className="shelf-empty">None yet. Find a type in the library and put it on the shelf.</p>
      ) : (
        <table>
          <thead>
            <tr>
              <th scope="col">Type</th>
              <th scope="col">Socket</th>
              <th scope="col">Heater</th>
              <th scope="col">Figures</th>
              <th scope="col">In this design</th>
              <th scope="col" className="number">
                On hand
              </th>
              <th scope="col">
                <span className="unseen">Actions</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => {
              const card = cardOf(row.type);
              return (
                <tr key={row.type}>
                  <th scope="row">
                    <button type="button" className="button quiet shelf-type" onClick={() => onCompare(row.type)}>
                      {row.type}
                    </button>
                  </th>
                  <td>{card?.socket ?? "not in the library"}</td>
                  <td className="shelf-wide">{card?.heater}</td>
                  <td className="shelf-wide">{card?.figures}</td>
                  <td>{card === undefined ? "" : inDesign(card)}</td>
                  <td className="number">
                    <CountField
                      label={`${row.type} on hand`}
                      count={row.count}
                      onKeep={(count) => {
                        const { title: words, changes } = countTubes(shelf, row.type, count);
                        hands.keep(words, changes, "shelf");
                      }}
                    />
                  </td>
                  <td className="shelf-remove">
                    <button
                      type="button"
                      className="button quiet"
                      aria-label={`Remove ${row.type} from the shelf`}
                      onClick={() => {
                        const { title: words, changes } = removeTubes(shelf, row.type);
                        hands.keep(words, changes, "shelf");
                      }}
                    >
                      Remove
                    </button>
                  </td>
                </tr>
              );
            })}
          </tbody>
        </table>
      )}
    </section>
  );
}

const inDesign = (card: TubeCard): string =>
  card.usedIn.length > 0
    ? `stands in ${card.usedIn.join(", ")}`
    : card.couldServe
      ? "could be tried"
      : "no socket for it";

const pieces = (count: number): string => `${count} piece${count === 1 ? "" : "s"}`;
