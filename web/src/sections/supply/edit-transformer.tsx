import { useDocument, useHands, useSession } from "../../state/use-session.ts";
import { fitLabel } from "./supply-edits.ts";
import { toPlace } from "./to-place.ts";
import { useEdits } from "../../state/use-edits.ts";

/** Another transformer of the shelf; label, readings and what is unknown are entered in the sheet's own block. */
export function EditTransformer() {
  const edits = useEdits();
  const hands = useHands();
  const document = useDocument();
  const shelf = useSession((session) => session.shelf.value.transformers);
  const fitted = document.supply?.transformer.label ?? "";
  const others = shelf.filter((one) => one.transformer.label !== fitted);
  return (
    <>
      <label className="supply-control">
        Iron
        <select
          className="field"
          value=""
          onChange={(event) => {
            const found = others[Number(event.currentTarget.value)];
            const edit = found === undefined ? undefined : fitLabel(edits.kept(), found.transformer);
            if (edit !== undefined) edits.keep(edit);
            else if (found !== undefined)
              hands.say({
                level: "watch",
                sentence: `${found.transformer.label} has fewer heater windings than are wired; it cannot be put in as it is.`,
              });
          }}
        >
          <option value="">{fitted}</option>
          {others.map((one, n) => (
            <option key={one.transformer.label} value={n}>
              {`${one.transformer.label} (${one.count} on the shelf)`}
            </option>
          ))}
        </select>
      </label>
      <a className="button" href="#supply-iron" onClick={(event) => toPlace(event, "supply-iron")}>
        Label, readings, unknown iron…
      </a>
    </>
  );
}
