/** The panels of the metal beside the plate, one at a time: salvage, holes, plate, tools, a photo, an outline, a socket's turn, parts. */
import { type ComponentType, useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { useRemembered } from "../../state/use-remembered.ts";
import { AddPart } from "./add-part.tsx";
import { HoleForm } from "./hole-form.tsx";
import { OutlineImport } from "./outline-import.tsx";
import type { PanelProps } from "./panel.ts";
import { PlateForm } from "./plate-form.tsx";
import { SalvagePanel } from "./salvage-panel.tsx";
import { ToolsForm } from "./tools-form.tsx";
import { TracePhoto } from "./trace-photo.tsx";
import { Turns } from "./turns.tsx";
import "./metal.css";

const PANELS = [
  { value: "salvage", words: "Salvage" },
  { value: "holes", words: "Holes" },
  { value: "parts", words: "Parts" },
  { value: "turn", words: "Turn" },
  { value: "plate", words: "Plate" },
  { value: "tools", words: "Tools" },
  { value: "photo", words: "Photo" },
  { value: "outline", words: "Outline" },
] as const;

type PanelId = (typeof PANELS)[number]["value"];

const OF: { readonly [P in Exclude<PanelId, "photo">]: ComponentType<PanelProps> } = {
  salvage: SalvagePanel,
  holes: HoleForm,
  parts: AddPart,
  turn: Turns,
  plate: PlateForm,
  tools: ToolsForm,
  outline: OutlineImport,
};

export function MetalPanels(props: PanelProps) {
  const [open, setOpen] = useRemembered<PanelId>("chassis.panel", "salvage");
  const [traced, setTraced] = useState(open === "photo");
  const Panel = open === "photo" ? undefined : OF[open];
  return (
    <div className="metal">
      <div className="metal-tabs no-print">
        <Choice
          label="What to work on"
          options={PANELS}
          value={open}
          onChoose={(next) => {
            setOpen(next);
            if (next === "photo") setTraced(true);
          }}
        />
      </div>
      {Panel !== undefined && <Panel {...props} />}
      {/* Marks that were set are not lost while something is looked up in another panel. */}
      {traced && (
        <div hidden={open !== "photo"}>
          <TracePhoto {...props} />
        </div>
      )}
    </div>
  );
}
