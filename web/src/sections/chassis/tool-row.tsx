import type { ChassisTool } from "@platewright/design";
import { useState } from "react";
import { without } from "./metal-edits.ts";
import { cutsWords, mm, type Read, readCuts, readLength, SMALLEST } from "./read-length.ts";
import { TOOL_KINDS, toolName } from "./tool-words.ts";

/** One tool; every cell is kept on Enter or on leaving as one step. */
export function ToolRow({
  tool,
  trap,
  onKeep,
  onRemove,
}: {
  tool: ChassisTool;
  trap: string | undefined;
  onKeep: (title: string, tool: ChassisTool) => string | undefined;
  onRemove: () => void;
}) {
  const [wrong, setWrong] = useState<string>();
  const name = toolName(tool);
  const optional = (key: "thickestMillimetres" | "pilotMillimetres", words: string, most: number) => (text: string) => {
    if (text === "") return onKeep(`${name}: ${words} not written`, without(tool, key) as ChassisTool);
    const read = readLength(text, SMALLEST, most);
    return read.ok ? onKeep(`${name}: ${words} ${mm(read.value)} mm`, { ...tool, [key]: read.value }) : read.failure;
  };
  return (
    <>
      <tr className="metal-tool">
        <th scope="row">
          {TOOL_KINDS.find((one) => one.value === tool.kind)?.words} <span className="muted">{tool.id}</span>
        </th>
        <td>
          <Cell
            label={`Name of ${tool.id}`}
            value={tool.name ?? ""}
            onWrong={setWrong}
            onKeep={(text) =>
              onKeep(
                text === "" ? `${name} without a name` : `${tool.id} is ${text}`,
                text === "" ? (without(tool, "name") as ChassisTool) : { ...tool, name: text },
              )
            }
          />
        </td>
        <td>
          <Cell
            label={`What ${tool.id} cuts`}
            value={cutsWords(tool.cutsMillimetres)}
            onWrong={setWrong}
            onKeep={(text) => {
              const read: Read<readonly number[] | { readonly from: number; readonly to: number }> = readCuts(text);
              if (!read.ok) return read.failure;
              const cuts = "from" in read.value ? read.value : [...read.value];
              return onKeep(`${name} cuts ${cutsWords(cuts)} mm`, { ...tool, cutsMillimetres: cuts });
            }}
          />
        </td>
        <td>
          <Cell
            label={`Thickest plate for ${tool.id}`}
            value={tool.thickestMillimetres === undefined ? "" : mm(tool.thickestMillimetres)}
            short
            onWrong={setWrong}
            onKeep={optional("thickestMillimetres", "thickest plate", 20)}
          />
        </td>
        <td>
          <Cell
            label={`Pilot for ${tool.id}`}
            value={tool.pilotMillimetres === undefined ? "" : mm(tool.pilotMillimetres)}
            short
            onWrong={setWrong}
            onKeep={optional("pilotMillimetres", "pilot", 50)}
          />
        </td>
        <td>
          <button type="button" className="button quiet no-print" aria-label={`Take ${name} out`} onClick={onRemove}>
            out
          </button>
        </td>
      </tr>
      {(wrong ?? trap) !== undefined && (
        <tr className="metal-tool-said">
          <td colSpan={6}>
            {wrong === undefined ? (
              `Trap: ${trap}.`
            ) : (
              <span className="field-words" role="alert">
                {wrong}
              </span>
            )}
          </td>
        </tr>
      )}
    </>
  );
}

function Cell({
  label,
  value,
  short = false,
  onKeep,
  onWrong,
}: {
  label: string;
  value: string;
  short?: boolean;
  onKeep: (text: string) => string | undefined;
  onWrong: (words: string | undefined) => void;
}) {
  const [draft, setDraft] = useState<string>();
  const [invalid, setInvalid] = useState(false);
  const end = (keep: boolean) => {
    if (draft === undefined) return;
    const sentence = keep && draft.trim() !== value ? onKeep(draft.trim()) : undefined;
    onWrong(sentence);
    setInvalid(sentence !== undefined);
    if (sentence === undefined) setDraft(undefined);
  };
  return (
    <input
      className={`field metal-cell${short ? " metal-short" : ""}${draft === undefined ? "" : " in-hand"}`}
      aria-label={label}
      autoComplete="off"
      maxLength={short ? 12 : 80}
      value={draft ?? value}
      data-dirty={draft !== undefined}
      aria-invalid={invalid}
      onChange={(event) => setDraft(event.currentTarget.value)}
      onBlur={() => end(true)}
      onKeyDown={(event) => {
        if (event.key === "Enter") end(true);
        else if (event.key === "Escape" && draft !== undefined) {
          event.stopPropagation();
          end(false);
        }
      }}
    />
  );
}
