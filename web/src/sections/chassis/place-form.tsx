import type { ChassisItem, DocumentHole } from "@platewright/design";
import { useState } from "react";
import { useDesk } from "../../worker/use-answer.ts";
import { Refused } from "./fields.tsx";
import { LengthInput } from "./size-field.tsx";
import { readDegrees } from "./hole-draft.ts";
import { FITTING_NAMES } from "./kind-words.ts";
import type { FootprintRow } from "./part-rows.ts";
import { addItem, freshName } from "./metal-edits.ts";
import { mm, readLength } from "./read-length.ts";
import { useMetal } from "./use-metal.ts";

/** A fitting on the plate: in the chosen hole, at a place that is written, or where there is room. */
export function PlaceForm({
  print,
  hole,
  items,
  onPlaced,
}: {
  print: FootprintRow;
  hole: DocumentHole | undefined;
  items: readonly ChassisItem[];
  onPlaced: (id: string) => void;
}) {
  const metal = useMetal();
  const desk = useDesk();
  const [x, setX] = useState(hole === undefined ? "" : mm(hole.x));
  const [y, setY] = useState(hole === undefined ? "" : mm(hole.y));
  const [turn, setTurn] = useState("");
  const [id, setId] = useState(() => freshName(FITTING_NAMES[print.kind] ?? "PART", items));
  const [refused, setRefused] = useState<string>();
  const place = async () => {
    const degrees = readDegrees(turn);
    if (!degrees.ok) {
      setRefused(degrees.failure);
      return;
    }
    if (!/^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$/.test(id)) {
      setRefused("Name: letters, digits, _ . - and at most 40 of them, the first a letter or digit.");
      return;
    }
    const at = await placeOf();
    if (typeof at === "string") {
      setRefused(at);
      return;
    }
    const item: ChassisItem = { id, what: { fitting: print.id }, footprint: print.id, ...at, degrees: degrees.value };
    const sentence = metal.keep((kept) => addItem(kept, item, print.label));
    setRefused(sentence);
    if (sentence === undefined) onPlaced(id);
  };
  const placeOf = async (): Promise<{ readonly x: number; readonly y: number } | string> => {
    if (x.trim() === "" && y.trim() === "") {
      const room = await desk.once("chassisRoom", { footprint: print.id });
      return room.value ?? room.failure ?? "No room was found; write x and y.";
    }
    const [right, rear] = [readLength(x, 0, 2000), readLength(y, 0, 2000)];
    if (!right.ok) return `x: ${right.failure}`;
    return rear.ok ? { x: right.value, y: rear.value } : `y: ${rear.failure}`;
  };
  return (
    <form
      className="metal-place no-print"
      onSubmit={(event) => {
        event.preventDefault();
        void place();
      }}
    >
      <label className="metal-length metal-text">
        <span>Name</span>
        <input className="field" autoComplete="off" value={id} onChange={(event) => setId(event.currentTarget.value)} />
      </label>
      <LengthInput label="x" least={0} text={x} onText={setX} />
      <LengthInput label="y" least={0} text={y} onText={setY} />
      <label className="metal-length">
        <span>Turn</span>
        <input
          className="field"
          autoComplete="off"
          value={turn}
          placeholder="0"
          onChange={(event) => setTurn(event.currentTarget.value)}
        />
        <span className="muted">°</span>
      </label>
      <button type="submit" className="button primary">
        Place it{hole === undefined ? "" : ` in ${hole.id}`}
      </button>
      {hole === undefined && <p className="metal-note">x and y left empty: where there is room.</p>}
      <Refused words={refused} />
    </form>
  );
}
