/** The symbol of a part that lies between two nets, upright: the same in a schematic and along a supply. */
import type { DocumentPart } from "@platewright/design";
import type { Symbol } from "./symbol.ts";
import * as two from "./symbols-two.ts";

export type TwoLeaded = Exclude<DocumentPart, { kind: "potentiometer" | "triode" | "follower" | "jack" }>;

export function twoLeaded(written: TwoLeaded, resistors: two.ResistorStyle): Symbol {
  switch (written.kind) {
    case "resistor":
      return two.resistor(resistors);
    case "capacitor":
      return two.capacitor(written.polarised === true);
    case "inductor":
      return two.inductor();
    case "switch":
      return two.toggle(written.closed);
    case "diode":
      return two.diode();
    case "regulator":
      return written.technology === "zener" ? two.zener() : two.gasTube();
    case "dc-source":
      return two.directSource();
    case "current-sink":
      return two.currentSink();
  }
}
