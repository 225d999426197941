import type { Chassis, ChassisItem, ChassisPlate, Document, DocumentHole } from "@platewright/design";
import { useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { BeginPlate } from "./begin-plate.tsx";
import { Bends } from "./bends.tsx";
import { PickField, Refused } from "./fields.tsx";
import { SizeField } from "./size-field.tsx";
import { holesPast, itemsPast, setPlate, setPlateWithout, without } from "./metal-edits.ts";
import { MATERIALS } from "./materials.ts";
import type { PanelProps } from "./panel.ts";
import { mm } from "./read-length.ts";
import { useMetal } from "./use-metal.ts";

const FINISHES = [
  { value: "none", words: "Not written" },
  { value: "bare", words: "Bare" },
  { value: "powder-coat", words: "Powder coat" },
  { value: "anodised", words: "Anodised" },
] as const;

const LARGEST = 2000;

/** The metal of the top plate; a size that would cut into holes is asked about before it is kept. */
export function PlateForm(_props: PanelProps) {
  const chassis = useSession((session) => session.book.value.chassis);
  return chassis === undefined ? <BeginPlate /> : <Form chassis={chassis} />;
}

/** A size that is wanted and not kept yet, with what stands against it. */
interface Wanted {
  readonly title: string;
  readonly plate: ChassisPlate;
  readonly holes: readonly DocumentHole[];
}

function Form({ chassis }: { chassis: Chassis }) {
  const { plate } = chassis;
  const metal = useMetal();
  const [wanted, setWanted] = useState<Wanted>();
  const [refused, setRefused] = useState<string>();
  const set = (title: string, next: ChassisPlate): string | undefined => {
    setWanted(undefined);
    const kept = metal.kept();
    const holes = kept.chassis === undefined ? [] : holesPast(kept.chassis, next);
    // What is wrong with the plate itself is said before what it would do to its holes.
    if (holes.length > 0 && setPlateWithout(kept, title, next, holes).ok) {
      setWanted({ title, plate: next, holes });
      return undefined;
    }
    return metal.keep((document: Document) => setPlate(document, title, next));
  };
  const size = (key: "widthMillimetres" | "depthMillimetres" | "thicknessMillimetres", words: string) => ({
    value: plate[key],
    onKeep: (value: number | undefined) =>
      value === undefined ? undefined : set(`${words} ${mm(plate[key])} → ${mm(value)} mm`, { ...plate, [key]: value }),
  });
  return (
    <section className="metal-plate" aria-labelledby="metal-plate">
      <SectionHead id="metal-plate" title="Plate" note="outside, flanges included in plan" />
      <div className="metal-fields">
        <SizeField label="Width" most={LARGEST} {...size("widthMillimetres", "Width")} />
        <SizeField label="Depth" most={LARGEST} {...size("depthMillimetres", "Depth")} />
        <SizeField label="Thickness" most={20} {...size("thicknessMillimetres", "Thickness")} />
        <SizeField
          label="Corner radius"
          least={0}
          most={LARGEST / 2}
          value={plate.cornerRadiusMillimetres ?? 0}
          onKeep={(value = 0) =>
            set(
              `Corner radius ${mm(plate.cornerRadiusMillimetres ?? 0)} → ${mm(value)} mm`,
              value === 0 ? without(plate, "cornerRadiusMillimetres") : { ...plate, cornerRadiusMillimetres: value },
            )
          }
        />
        <PickField
          label="Material"
          value={plate.material}
          options={MATERIALS}
          onPick={(material) => setRefused(set(`Plate of ${material}`, { ...plate, material }))}
        />
        <PickField
          label="Finish"
          value={plate.finish ?? "none"}
          options={FINISHES}
          onPick={(finish) =>
            setRefused(
              set(
                finish === "none" ? "Finish not written" : `Finish: ${finish.replace("-", " ")}`,
                finish === "none" ? without(plate, "finish") : { ...plate, finish },
              ),
            )
          }
        />
        <SizeField
          label="Cover, inside"
          most={1000}
          optional
          placeholder="none"
          value={plate.coverMillimetres}
          onKeep={(value) =>
            set(
              value === undefined ? "No cover: tubes stand free" : `Cover, ${mm(value)} mm clear`,
              value === undefined ? without(plate, "coverMillimetres") : { ...plate, coverMillimetres: value },
            )
          }
        />
        <Vents plate={plate} onKeep={set} />
      </div>
      <Bends plate={plate} onKeep={(title, bends) => setRefused(set(title, bent(plate, bends)))} />
      <Refused words={refused} />
      {wanted !== undefined && (
        <Ask
          chassis={chassis}
          wanted={wanted}
          onTake={() => {
            const { title, plate: next, holes } = wanted;
            setWanted(undefined);
            setRefused(metal.keep((document) => setPlateWithout(document, title, next, holes)));
          }}
          onLeave={() => setWanted(undefined)}
        />
      )}
    </section>
  );
}

const bent = (plate: ChassisPlate, bends: NonNullable<ChassisPlate["bends"]>): ChassisPlate =>
  bends.length === 0 ? without(plate, "bends") : { ...plate, bends };

/** Open area, written in square centimetres. */
function Vents({
  plate,
  onKeep,
}: {
  plate: ChassisPlate;
  onKeep: (title: string, plate: ChassisPlate) => string | undefined;
}) {
  const square = (plate.ventSquareMillimetres ?? 0) / 100;
  const [draft, setDraft] = useState<string>();
  const [wrong, setWrong] = useState<string>();
  const end = () => {
    if (draft === undefined) return;
    const value = draft.trim() === "" ? 0 : Number(draft.trim().replace(/,/g, "."));
    if (!(value >= 0 && value <= 40_000)) {
      setWrong("Write an area from 0 to 40 000 cm².");
      return;
    }
    setDraft(undefined);
    setWrong(undefined);
    if (value !== square)
      onKeep(
        `Vents ${square} → ${value} cm²`,
        value === 0 ? without(plate, "ventSquareMillimetres") : { ...plate, ventSquareMillimetres: value * 100 },
      );
  };
  return (
    <div className="metal-length">
      <label htmlFor="metal-vents">Vents, open area</label>
      <input
        id="metal-vents"
        className={`field${draft === undefined ? "" : " in-hand"}`}
        inputMode="decimal"
        autoComplete="off"
        value={draft ?? String(square)}
        data-dirty={draft !== undefined}
        aria-invalid={wrong !== undefined}
        aria-describedby={wrong === undefined ? undefined : "metal-vents-wrong"}
        onFocus={(event) => event.currentTarget.select()}
        onChange={(event) => setDraft(event.currentTarget.value)}
        onBlur={end}
        onKeyDown={(event) => {
          if (event.key === "Enter") end();
          else if (event.key === "Escape" && draft !== undefined) {
            event.stopPropagation();
            setDraft(undefined);
            setWrong(undefined);
          }
        }}
      />
      <span className="muted">cm² in plate and cover</span>
      {wrong !== undefined && (
        <span id="metal-vents-wrong" className="field-words" role="alert">
          {wrong}
        </span>
      )}
    </div>
  );
}

const listed = (ids: readonly string[]): string =>
  ids.length <= 6 ? ids.join(", ") : `${ids.slice(0, 5).join(", ")} and ${ids.length - 5} others`;

function Ask({
  chassis,
  wanted,
  onTake,
  onLeave,
}: {
  chassis: Chassis;
  wanted: Wanted;
  onTake: () => void;
  onLeave: () => void;
}) {
  const { holes, plate } = wanted;
  const items: readonly ChassisItem[] = itemsPast(chassis, plate);
  return (
    <div className="metal-ask" role="alert">
      <p>
        <b>Not kept yet.</b> At {mm(plate.widthMillimetres)} × {mm(plate.depthMillimetres)} mm{" "}
        {holes.length === 1 ? "a hole reaches" : `${holes.length} holes reach`} past the plate:{" "}
        {listed(holes.map((one) => one.id))}.
        {items.length > 0 && ` Off the plate would stand: ${listed(items.map((one) => one.id))}.`}
      </p>
      <div className="metal-buttons">
        <button type="button" className="button" onClick={onLeave}>
          Leave the plate as it is
        </button>
        <button type="button" className="button" onClick={onTake}>
          {holes.length === 1 ? "Keep it without that hole" : `Keep it without those ${holes.length} holes`}
        </button>
      </div>
    </div>
  );
}
