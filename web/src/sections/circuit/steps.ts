/** One step of a part up and down: the next preferred value, a tenth of a turn, a tenth of a current or of volts. */
import { type ExpandedPart, type PartEdit, QUANTITY_OF, valueOf } from "@platewright/design";
import { stepped } from "../../parts/stepped.ts";
import { printed, turnWords } from "./words.ts";

export interface Step {
  readonly way: "up" | "down";
  /** "820 Ω", "9.1" of a knob. */
  readonly words: string;
  readonly edit: PartEdit;
}

const TURN = 0.1;
const TENTH = 0.1;

export const UNIT_OF: Readonly<Record<string, string>> = {
  resistor: "Ω",
  potentiometer: "Ω",
  capacitor: "F",
  inductor: "H",
  "dc-source": "V",
  regulator: "V",
  "current-sink": "A",
};

export function stepsOf({ written }: ExpandedPart, series: "E12" | "E24"): readonly Step[] {
  if (written.kind === "potentiometer") {
    const to = (way: "up" | "down", turn: number): readonly Step[] =>
      turn < -1e-9 || turn > 1 + 1e-9
        ? []
        : [{ way, words: turnWords(turn), edit: { position: Number(turn.toFixed(4)) } }];
    return [...to("up", written.position + TURN), ...to("down", written.position - TURN)];
  }
  const quantity = QUANTITY_OF[written.kind];
  const unit = UNIT_OF[written.kind];
  if (quantity === undefined || unit === undefined || !("value" in written)) return [];
  const value = valueOf(quantity, written.value);
  if (!(value > 0)) return [];
  const step = (way: "up" | "down", by: 1 | -1): Step => {
    const coded = quantity === "resistance" || quantity === "capacitance" || quantity === "inductance";
    const edit = coded
      ? stepped(quantity, value, by, series)
      : String(Number((value * (1 + by * TENTH)).toPrecision(4)));
    return { way, words: printed(valueOf(quantity, edit), unit), edit: { value: edit } };
  };
  return [step("up", 1), step("down", -1)];
}
