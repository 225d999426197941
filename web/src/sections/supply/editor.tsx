import type { ChainNet, ChainPart, SupplyChain } from "@platewright/design";
import { partOf } from "../../state/edits.ts";
import { useDocument } from "../../state/use-session.ts";
import { EditPart } from "./edit-part.tsx";
import { EditFuse, EditHeater, EditMains } from "./edit-mains.tsx";
import { EditChoke, EditRectifier } from "./edit-rectifier.tsx";
import { EditTransformer } from "./edit-transformer.tsx";
import { useEdits } from "../../state/use-edits.ts";
import { partNames } from "./words.ts";

interface Choice {
  readonly id: string;
  readonly words: string;
}

/** What stands in the chain, from the mains on: the keyboard's way to what a pointer presses. */
function choicesOf(chain: SupplyChain, nameOf: (id: string) => string): readonly Choice[] {
  const parts: ChainPart[] = [];
  const hang = (net: ChainNet) => {
    for (const { part, below } of net.hanging) {
      parts.push(part);
      if (below !== undefined) hang(below);
    }
  };
  for (const node of chain.nodes) {
    if (node.through !== undefined) parts.push(node.through);
    hang(node);
  }
  parts.push(...chain.others);
  const { rectifier } = chain;
  return [
    { id: "mains", words: "Mains" },
    { id: "fuse", words: "Fuse" },
    { id: "transformer", words: "Transformer" },
    ...chain.heaters.map(({ id }) => ({ id, words: `Heater winding ${id}` })),
    {
      id: rectifier.envelope ?? "rectifier",
      words: `Rectifier ${rectifier.envelope === undefined ? (rectifier.silicon ?? "") : `${rectifier.envelope} ${rectifier.type ?? ""}`}`,
    },
    ...(chain.choke === undefined ? [] : [{ id: "choke", words: "Choke" }]),
    ...parts.map((part) => ({
      id: part.id,
      words: [nameOf(part.id), part.written.label].filter(Boolean).join(", "),
    })),
  ];
}

/** One line under the drawing: which thing, and what of it can be changed. */
export function Editor({
  chain,
  chosen,
  onChoose,
}: {
  chain: SupplyChain;
  chosen: string | undefined;
  onChoose: (id: string) => void;
}) {
  const document = useDocument();
  const wanted = chosen ?? document.supply?.rectifier.firstCapacitor;
  const standing = choicesOf(chain, partNames(document));
  const [instance = "", partId = ""] = (wanted ?? "").split(".");
  const elsewhere = !standing.some((one) => one.id === wanted) && partOf(document, instance, partId) !== undefined;
  // A part of a channel that was pressed in a table stands in no chain.
  const choices = elsewhere && wanted !== undefined ? [...standing, { id: wanted, words: wanted }] : standing;
  const current = choices.find((one) => one.id === wanted)?.id;
  return (
    <div className="supply-editor no-print" role="group" aria-label="What is chosen in the chain">
      <label className="supply-control">
        Change
        <select
          className="field supply-which"
          value={current ?? ""}
          onChange={(event) => onChoose(event.currentTarget.value)}
        >
          {current === undefined && <option value="">{wanted === undefined ? "nothing chosen" : wanted}</option>}
          {choices.map((one) => (
            <option key={one.id} value={one.id}>
              {one.words}
            </option>
          ))}
        </select>
      </label>
      {current === undefined ? (
        <span className="supply-note">
          A net has no value of its own: wish for its volts beneath, or change a part.
        </span>
      ) : (
        <Fields key={current} id={current} chain={chain} />
      )}
    </div>
  );
}

function Fields({ id, chain }: { id: string; chain: SupplyChain }) {
  const edits = useEdits();
  if (id === "mains") return <EditMains edits={edits} />;
  if (id === "fuse") return <EditFuse edits={edits} />;
  if (id === "transformer") return <EditTransformer />;
  if (id === "choke") return <EditChoke edits={edits} />;
  if (chain.heaters.some((one) => one.id === id)) return <EditHeater id={id} edits={edits} />;
  if (id === (chain.rectifier.envelope ?? "rectifier")) return <EditRectifier edits={edits} />;
  return <EditPart id={id} />;
}
