import { type Change, diffDocuments, type Document, type ShelfFile, type Transformer } from "@platewright/design";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAround, useDocument, useHands } from "../../state/use-session.ts";
import { CountField } from "./count-field.tsx";
import { addTransformer, countTransformers, removeTransformer } from "./shelf-edits.ts";

export function Transformers({ shelf }: { shelf: ShelfFile }) {
  const hands = useHands();
  const { session } = useAround();
  const document = useDocument();
  const fitted = document.supply?.transformer;
  const known = fitted !== undefined && shelf.transformers.some((one) => one.transformer.label === fitted.label);
  const use = (transformer: Transformer) => {
    const changes = fitTransformer(session.getState().book.value, transformer);
    if (changes !== undefined) hands.keep(`Transformer ${transformer.label}`, changes);
    else
      hands.say({
        level: "watch",
        sentence: `${transformer.label} has fewer heater windings than this design uses; it cannot be put in as it is.`,
      });
  };
  return (
    <section aria-labelledby="shelf-transformers">
      <SectionHead id="shelf-transformers" title="Transformers" />
      {shelf.transformers.length === 0 ? (
        <p className="shelf-empty">None yet.</p>
      ) : (
        <table>
          <thead>
            <tr>
              <th scope="col">Label</th>
              <th scope="col">High tension</th>
              <th scope="col">Heaters</th>
              <th scope="col" className="number">
                On hand
              </th>
              <th scope="col">
                <span className="unseen">Actions</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {shelf.transformers.map(({ transformer, count }, at) => (
              <tr key={`${transformer.label} ${at}`}>
                <th scope="row">{transformer.label}</th>
                <td>{highTension(transformer)}</td>
                <td>{transformer.heaters.map((one) => `${one.ratedVolts} V ${one.ratedAmps} A`).join(", ")}</td>
                <td className="number">
                  <CountField
                    label={`${transformer.label} on hand`}
                    count={count}
                    onKeep={(next) => {
                      const { title, changes } = countTransformers(shelf, at, next);
                      hands.keep(title, changes, "shelf");
                    }}
                  />
                </td>
                <td className="shelf-remove">
                  <button
                    type="button"
                    className="button"
                    disabled={fitted?.label === transformer.label}
                    onClick={() => use(transformer)}
                  >
                    {fitted?.label === transformer.label ? "In this design" : "Use in this design"}
                  </button>
                  <button
                    type="button"
                    className="button quiet"
                    aria-label={`Remove ${transformer.label} from the shelf`}
                    onClick={() => {
                      const { title, changes } = removeTransformer(shelf, at);
                      hands.keep(title, changes, "shelf");
                    }}
                  >
                    Remove
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {fitted !== undefined && !known && (
        <p className="shelf-add no-print">
          <button
            type="button"
            className="button"
            onClick={() => {
              const { title, changes } = addTransformer(shelf, fitted);
              hands.keep(title, changes, "shelf");
            }}
          >
            Put this design&rsquo;s on the shelf
          </button>
          <span className="muted">{fitted.label}</span>
        </p>
      )}
    </section>
  );
}

const highTension = ({ highTension: { ratedRmsVoltsPerHalf, ratedAmps } }: Transformer): string =>
  `${ratedRmsVoltsPerHalf}-0-${ratedRmsVoltsPerHalf} V ${Math.round(ratedAmps * 1000)} mA`;

/** The transformer in place of the fitted one: its heater windings take over the ids and references that the wires name. */
export function fitTransformer(document: Document, transformer: Transformer): readonly Change[] | undefined {
  const { supply } = document;
  if (supply === undefined || transformer.heaters.length < supply.transformer.heaters.length) return undefined;
  const heaters = transformer.heaters.map((winding, n) => {
    const fitted = supply.transformer.heaters[n];
    return fitted === undefined ? winding : { ...winding, id: fitted.id, reference: fitted.reference };
  });
  return diffDocuments(document, { ...document, supply: { ...supply, transformer: { ...transformer, heaters } } });
}
