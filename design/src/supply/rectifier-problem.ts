/** From the document's winding and rectifier to the problem that the engine solves, in a condition of the mains. */
import { type Catalogue, fail, ok, type RectifierLaw, type Result, siliconLaw } from "@platewright/engine";
import { valueOf } from "../document/parts.ts";
import type { Document, Supply, Transformer } from "../document/schema.ts";
import type { SourceProblem } from "./source.ts";
import { resolveTransformer } from "./transformer.ts";
import { transformerSentence } from "./transformer-failures.ts";
import type { RectifierKind } from "./transformer-practice.ts";

/** Law of one path from winding to first capacitor: the drops that the current passes in turn. */
export function rectifierLaw(document: Document, supply: Supply, catalogue: Catalogue): Result<RectifierLaw, string> {
  const { rectifier } = supply;
  const drops: RectifierLaw[] = [];
  if (rectifier.envelope !== undefined) {
    const envelope = document.envelopes.find((one) => one.id === rectifier.envelope);
    const law = envelope === undefined ? undefined : catalogue.tube(envelope.type)?.rectifier?.law;
    if (law === undefined)
      return fail(`supply.rectifier: ${envelope?.type ?? rectifier.envelope} has no rectifier curve in the library.`);
    drops.push(law);
  }
  if (rectifier.silicon !== undefined) drops.push(siliconLaw());
  if (rectifier.circuit === "bridge") drops.push(siliconLaw());
  const [first, ...more] = drops;
  if (first === undefined) return fail("supply.rectifier: neither a tube nor silicon diodes are named.");
  return ok(more.length === 0 ? first : { form: "series", laws: drops });
}

/** The transformer's numbers at the document's mains: the builder's own readings and its tap go before the label. */
export function transformerOf(supply: Supply): Result<Transformer, string> {
  const { transformer } = supply;
  if (
    transformer.measured === undefined &&
    transformer.unknown === undefined &&
    transformer.primary === undefined &&
    transformer.currentRating === undefined
  )
    return ok(transformer);
  const resolved = resolveTransformer(supply, { circuit: windingCircuit(supply) });
  return resolved.ok ? ok(resolved.value.transformer) : fail(transformerSentence(resolved.failure));
}

/** How the winding is used, in the words of transformer makers. */
export const windingCircuit = ({ rectifier }: Supply): RectifierKind =>
  rectifier.circuit === "bridge" || rectifier.circuit === "hybrid-bridge"
    ? "bridge"
    : rectifier.circuit === "half-wave"
      ? "half-wave"
      : "centre-tap";

/** The rectifier's problem at a mains factor, load left to the caller; a sentence when the document lacks something. */
export function rectifierProblem(
  document: Document,
  supply: Supply,
  catalogue: Catalogue,
  mainsFactor: number,
  firstFarads: number,
): Result<SourceProblem, string> {
  const law = rectifierLaw(document, supply, catalogue);
  if (!law.ok) return law;
  const transformer = transformerOf(supply);
  if (!transformer.ok) return transformer;
  const { rectifier, mains } = supply;
  const added = valueOf("resistance", rectifier.seriesOhms ?? "0");
  const { circuit = "full-wave" } = rectifier;
  return ok({
    rmsVolts: transformer.value.highTension.unloadedRmsVoltsPerHalf * mainsFactor,
    hertz: mains.hertz,
    seriesOhms: transformer.value.highTension.ohmsPerHalf + added,
    firstFarads,
    circuit: circuit === "hybrid-bridge" ? "bridge" : circuit,
    law: law.value,
    ...(rectifier.choke === undefined
      ? {}
      : {
          choke: {
            henries: valueOf("inductance", rectifier.choke.value),
            ohms: valueOf("resistance", rectifier.choke.seriesOhms),
          },
        }),
  });
}
