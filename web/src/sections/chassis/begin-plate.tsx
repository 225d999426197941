import type { ChassisPlate } from "@platewright/design";
import { useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { PickField, Refused } from "./fields.tsx";
import { LengthInput } from "./size-field.tsx";
import { beginPlate } from "./metal-edits.ts";
import { MATERIALS } from "./materials.ts";
import { OutlineImport } from "./outline-import.tsx";
import { readLength, SMALLEST } from "./read-length.ts";
import { useMetal } from "./use-metal.ts";

const NOTHING = () => undefined;

/** For a design without a chassis: its metal, typed or from a drawing, and then the rest. */
export function BeginPlate() {
  const metal = useMetal();
  const [width, setWidth] = useState("300");
  const [depth, setDepth] = useState("180");
  const [thickness, setThickness] = useState("2");
  const [material, setMaterial] = useState<ChassisPlate["material"]>("aluminium");
  const [refused, setRefused] = useState<string>();
  const begin = () => {
    const [w, d, t] = [
      readLength(width, SMALLEST, 2000),
      readLength(depth, SMALLEST, 2000),
      readLength(thickness, SMALLEST, 20),
    ];
    if (!w.ok || !d.ok || !t.ok) {
      const [first] = [w, d, t].filter((one) => !one.ok);
      setRefused(first?.ok === false ? first.failure : undefined);
      return;
    }
    setRefused(
      metal.keep((kept) =>
        beginPlate(kept, {
          widthMillimetres: w.value,
          depthMillimetres: d.value,
          thicknessMillimetres: t.value,
          material,
        }),
      ),
    );
  };
  return (
    <div className="metal">
      <section className="metal-begin" aria-labelledby="metal-begin">
        <SectionHead id="metal-begin" title="Begin a plate" note="this design has no chassis yet" />
        <p className="metal-note">
          The top plate, flat, outside. Corners, bends, cover and finish follow; holes that are there already are
          entered next, or traced from a photo.
        </p>
        <form
          className="metal-fields"
          onSubmit={(event) => {
            event.preventDefault();
            begin();
          }}
        >
          <LengthInput label="Width" text={width} onText={setWidth} />
          <LengthInput label="Depth" text={depth} onText={setDepth} />
          <LengthInput label="Thickness" most={20} text={thickness} onText={setThickness} />
          <PickField label="Material" value={material} options={MATERIALS} onPick={setMaterial} />
          <Refused words={refused} />
          <div className="metal-buttons">
            <button type="submit" className="button primary">
              Begin a plate
            </button>
          </div>
        </form>
      </section>
      <OutlineImport chosen={undefined} onChoose={NOTHING} />
    </div>
  );
}
