/** A cathode's bypass capacitor: there or not. */
import { partCode, printValue } from "@platewright/engine";
import { valueOf } from "../document/parts.ts";
import type { Document } from "../document/schema.ts";
import { freeId, partsOfBlock, putIn, takeOut } from "./block-edit.ts";
import { biasAt, type BlockStage, type BlockView, type Capacitor, otherEnd, tiedTo, voltsAt } from "./block-view.ts";
import { bypassFarads, capacitorVolts } from "./sizes.ts";
import type { FoundSwitch, SwitchAsk, Way } from "./switches.ts";

export function bypassSwitch(
  view: BlockView,
  stage: BlockStage,
  { reference }: Pick<SwitchAsk, "reference">,
): FoundSwitch | undefined {
  const { document, block } = view;
  const { cathode } = stage.part.pins;
  const [first] = stage.chain;
  if (stage.stage.role !== "gain" || cathode === "0" || first === undefined) return undefined;
  const across = tiedTo(view, cathode).filter(
    (part): part is Capacitor => part.kind === "capacitor" && otherEnd(part, cathode) === "0",
  );
  if (across.length > 1) return undefined;
  const label = `Cathode of ${stage.part.id}`;
  const parts = [...stage.chain.map(({ id }) => id), ...across.map(({ id }) => id)];
  const [there] = across;
  if (there !== undefined) {
    const without: Way = {
      words: "not bypassed",
      title: `${there.id} out, ${stage.part.id} not bypassed`,
      remark: "less gain, more output impedance at the plate, less second harmonic at a level",
      document: takeOut(document, block, [there.id]),
    };
    return { kind: "bypass", label, parts, ways: [{ words: capacitorWords(there), title: "" }, without] };
  }
  const ways = capacitorsFor(view, stage, reference).map(
    (part): Way => ({
      words: capacitorWords(part),
      title: `${part.id} ${part.value} in, ${stage.part.id} bypassed`,
      document: putIn(document, block, part, first.id),
    }),
  );
  return { kind: "bypass", label, parts, ways: [...ways, { words: "not bypassed", title: "" }] };
}

const capacitorWords = ({ id, value }: Capacitor): string => `${id} ${printValue(valueOf("capacitance", value), "F")}`;

/** As it was in the unit that is compared with, and what bypasses the cathode down to 5 Hz. */
function capacitorsFor(view: BlockView, stage: BlockStage, reference: Document | undefined): readonly Capacitor[] {
  const { document, block } = view;
  const { cathode } = stage.part.pins;
  const used = new Set(view.parts.map(({ id }) => id));
  const before = (reference === undefined ? [] : partsOfBlock(reference, block)).filter(
    (part): part is Capacitor =>
      part.kind === "capacitor" && [part.pins.a, part.pins.b].sort().join() === ["0", cathode].sort().join(),
  );
  const was = before.filter(({ id }) => !used.has(id)).slice(0, 1);
  const bias = biasAt(view, stage);
  const ohms = stage.chain.reduce((sum, { value }) => sum + valueOf("resistance", value), 0);
  const load = view.parts.find((part) => `${view.instance}.${part.id}` === stage.stage.plateLoad);
  const loadOhms = load?.kind === "resistor" ? valueOf("resistance", load.value) : 0;
  if (bias === undefined) return was;
  const farads = bypassFarads(ohms, bias.mu, bias.plateOhms, loadOhms);
  const fresh: Capacitor = {
    kind: "capacitor",
    id: freeId(document, block, "C"),
    label: "cathode bypass",
    value: partCode(farads, "capacitance"),
    volts: capacitorVolts(voltsAt(view, cathode)),
    polarised: true,
    pins: { a: cathode, b: "0" },
  };
  const same = was.some(({ value }) => Math.abs(valueOf("capacitance", value) / farads - 1) < 1e-6);
  return same ? was : [...was, fresh];
}
