import {
  type Document,
  dxfChanges,
  type DxfPlate,
  type DxfRefusal,
  type DxfUnits,
  importDxf,
} from "@platewright/design";
import { useMemo, useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { LevelSign } from "../../parts/level.tsx";
import { ChooseFile } from "../../parts/choose-file.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { PickField, Refused } from "./fields.tsx";
import { type Checked, checkedChanges } from "./metal-edits.ts";
import { OutlinePicture } from "./outline-picture.tsx";
import type { PanelProps } from "./panel.ts";
import { mm } from "./read-length.ts";
import { useMetal } from "./use-metal.ts";

const UNITS: readonly { readonly value: DxfUnits | "stated"; readonly words: string }[] = [
  { value: "stated", words: "as the drawing states" },
  { value: "mm", words: "millimetres" },
  { value: "inch", words: "inches" },
  { value: "cm", words: "centimetres" },
  { value: "m", words: "metres" },
];

interface File {
  readonly name: string;
  readonly text: string;
}

/** A plate's outline and holes from a DXF file: shown as it was read before any of it is kept. The file stays in this page. */
export function OutlineImport({ onChoose }: PanelProps) {
  const [file, setFile] = useState<File>();
  const [wrong, setWrong] = useState<string>();
  const has = useSession((session) => session.book.value.chassis !== undefined);
  const take = async (chosen: globalThis.File) => {
    try {
      setFile({ name: chosen.name, text: await chosen.text() });
      setWrong(undefined);
    } catch {
      setWrong(`${chosen.name} could not be read from the disk; choose it again.`);
    }
  };
  return (
    <section className="metal-outline" aria-labelledby="metal-outline">
      <SectionHead
        id="metal-outline"
        title="Outline from a DXF"
        note="the file stays in this page"
        end={
          <ChooseFile
            words={file === undefined ? "Choose a file" : "Another file"}
            accept=".dxf"
            onChoose={(chosen) => void take(chosen)}
          />
        }
      />
      <Refused words={wrong} />
      {file === undefined ? (
        <p className="metal-note">
          The largest closed outline is the plate, what lies inside it holes.{" "}
          {has
            ? "It takes the place of the plate’s size and of all holes; parts, thickness and material stay."
            : "Thickness and material are not in a drawing: 2 mm of aluminium to begin with."}
        </p>
      ) : (
        <Read
          key={`${file.name} ${file.text.length}`}
          file={file}
          onKept={() => {
            setFile(undefined);
            onChoose(undefined);
          }}
        />
      )}
    </section>
  );
}

function Read({ file, onKept }: { file: File; onKept: () => void }) {
  const metal = useMetal();
  const chassis = useSession((session) => session.book.value.chassis);
  const [units, setUnits] = useState<DxfUnits | "stated">("stated");
  const [state, setState] = useState<"cut" | "planned">("planned");
  const [refused, setRefused] = useState<string>();
  const read = useMemo(
    () => importDxf(file.text, { state, ...(units === "stated" ? {} : { units }) }),
    [file.text, state, units],
  );
  return (
    <div className="metal-dxf">
      <div className="metal-fields">
        <PickField label="Measured in" value={units} options={UNITS} onPick={setUnits} />
        <Choice
          label="Its holes are"
          options={[
            { value: "planned", words: "To be cut" },
            { value: "cut", words: "Cut already" },
          ]}
          value={state}
          onChoose={setState}
        />
      </div>
      {read.ok ? (
        <>
          <Found name={file.name} plate={read.value} holesNow={chassis?.holes.length ?? 0} />
          <Refused words={refused} />
          <div className="metal-buttons">
            <button
              type="button"
              className="button primary"
              onClick={() => {
                const sentence = metal.keep((kept) => outlineEdit(kept, file.name, read.value));
                setRefused(sentence);
                if (sentence === undefined) onKept();
              }}
            >
              {chassis === undefined ? "Begin with this plate" : "Take this plate and its holes"}
            </button>
          </div>
        </>
      ) : (
        <DxfRefused name={file.name} refusal={read.failure} />
      )}
    </div>
  );
}

const outlineEdit = (document: Document, name: string, plate: DxfPlate): Checked =>
  checkedChanges(document, {
    title: `Outline ${name}: ${mm(plate.widthMillimetres)} × ${mm(plate.depthMillimetres)} mm, ${plate.holes.length} holes`,
    changes: dxfChanges(document.chassis, plate),
  });

function DxfRefused({ name, refusal: { kind, sentence } }: { name: string; refusal: DxfRefusal }) {
  return (
    <p role="alert" className="metal-dxf-refused">
      <LevelSign level={kind === "units" ? "watch" : "stop"} words={kind === "units" ? "which units" : "not taken"} />{" "}
      {name} {sentence}
    </p>
  );
}

function Found({ name, plate, holesNow }: { name: string; plate: DxfPlate; holesNow: number }) {
  const { widthMillimetres: wide, depthMillimetres: deep, cornerRadiusMillimetres: corner = 0, holes } = plate;
  const round = holes.filter((one) => one.shape.kind === "circle").length;
  const kinds = [
    ...(round > 0 ? [`${round} round`] : []),
    ...(holes.length > round ? [`${holes.length - round} rectangular`] : []),
  ].join(", ");
  return (
    <div className="metal-dxf-read">
      <OutlinePicture name={name} plate={plate} />
      <div>
        <dl className="metal-found">
          <dt>Plate</dt>
          <dd>
            {mm(wide)} × {mm(deep)} mm{corner > 0 ? `, corners of ${mm(corner)} mm` : ", square corners"}
          </dd>
          <dt>Holes</dt>
          <dd>
            {holes.length === 0 ? "none" : `${holes.length}: ${kinds}`}
            {holesNow > 0 ? `; the ${holesNow} that are entered now would go` : ""}
          </dd>
          <dt>Read</dt>
          <dd>{plate.notes.join(" ")}</dd>
        </dl>
        {plate.refused.length > 0 && (
          <div className="metal-dxf-left">
            <LevelSign
              level="watch"
              words={`${plate.refused.length} thing${plate.refused.length === 1 ? "" : "s"} not taken`}
            />
            <ul>
              {plate.refused.map((one) => (
                <li key={one}>{one}</li>
              ))}
            </ul>
          </div>
        )}
      </div>
    </div>
  );
}
