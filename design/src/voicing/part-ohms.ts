/** A resistor of a solved design by its expanded id, and the document with another value there and in its twins. */
import { expand } from "../document/expand.ts";
import type { Document } from "../document/schema.ts";
import { setPart } from "../document/set-part.ts";
import type { SolvedDesign } from "../solved/types.ts";

export function partOhms(solved: SolvedDesign, id: string): number | undefined {
  const part = solved.expanded.parts.find((one) => one.id === id);
  return part?.electrical.kind === "resistor" ? part.electrical.ohms : undefined;
}

/** Sets a resistance in the instance of the part and in the channels that are equal to it. */
export function withOhms(document: Document, id: string, ohms: number): Document {
  const [instance, part] = [id.slice(0, id.indexOf(".")), id.slice(id.indexOf(".") + 1)];
  const expanded = expand(document);
  const equal = expanded.ok ? expanded.value.equalTo : new Map<string, string>();
  const first = equal.get(instance) ?? instance;
  const block = document.instances.find((one) => one.id === first)?.block;
  const instances = document.instances
    .filter((one) => one.block === block && (one.id === first || equal.get(one.id) === first))
    .map((one) => one.id);
  return setPart(document, instances, part, { value: ohms.toPrecision(8) });
}
