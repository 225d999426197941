import type { ChassisTool } from "@platewright/design";
import { useState } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { Asking, PickField, Refused } from "./fields.tsx";
import { freshId, setTools } from "./metal-edits.ts";
import type { PanelProps } from "./panel.ts";
import { cutsWords, readCuts } from "./read-length.ts";
import { ToolRow } from "./tool-row.tsx";
import { TOOL_KINDS, toolName } from "./tool-words.ts";
import { useMetal } from "./use-metal.ts";

const NONE = {};
const NO_TOOLS: readonly ChassisTool[] = [];

/** The builder's own tools by what they really cut, and which holes none of them makes. */
export function ToolsForm({ onChoose }: PanelProps) {
  const tools = useSession((session) => session.book.value.chassis?.tools) ?? NO_TOOLS;
  const told = useAnswer("chassisTools", NONE);
  const metal = useMetal();
  const [refused, setRefused] = useState<string>();
  const traps = told.value?.names ?? [];
  const put = (title: string, next: readonly ChassisTool[]) => metal.keep((kept) => setTools(kept, title, next));
  return (
    <section className="metal-tools" aria-labelledby="metal-tools">
      <SectionHead id="metal-tools" title="Tools" note="by what they really cut: measure a test hole, not the name" />
      {tools.length > 0 && (
        <table>
          <thead>
            <tr>
              <th scope="col">Tool</th>
              <th scope="col">Name</th>
              <th scope="col">Cuts, mm</th>
              <th scope="col">Thickest</th>
              <th scope="col">Pilot</th>
              <th scope="col">
                <span className="unseen">Take out</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {tools.map((tool) => (
              <ToolRow
                key={tool.id}
                tool={tool}
                trap={traps.find((one) => one.tool === tool.id)?.trap}
                onKeep={(title, next) =>
                  put(
                    title,
                    tools.map((one) => (one.id === next.id ? next : one)),
                  )
                }
                onRemove={() =>
                  setRefused(
                    put(
                      `${toolName(tool)} out of the tools`,
                      tools.filter((one) => one !== tool),
                    ),
                  )
                }
              />
            ))}
          </tbody>
        </table>
      )}
      {tools.length === 0 && (
        <p className="metal-note">
          No tool is listed: nothing is said about what your shop can cut. List drills, punches, a step drill, a saw, a
          file.
        </p>
      )}
      <AddTool
        onAdd={(kind, cuts) => {
          const id = freshId("T", tools);
          return put(`${toolName({ id, kind })}, ${cutsWords(cuts)} mm`, [
            ...tools,
            { id, kind, cutsMillimetres: cuts },
          ]);
        }}
      />
      <Refused words={refused} />
      <Asking told={told} what="finding a tool for each hole…" />
      {told.value !== undefined && (
        <>
          <SectionHead
            id="metal-makes"
            title="Holes to make"
            note={
              told.value.due === 0
                ? "none"
                : told.value.without.length === 0
                  ? `a tool for each of ${told.value.due}`
                  : `${told.value.without.length} of ${told.value.due} without a tool`
            }
          />
          <ul className="metal-makes">
            {told.value.without.map((one) => (
              <li key={one.hole}>
                <LevelSign level="watch" words="no tool" />
                <button type="button" className="metal-link" onClick={() => onChoose({ hole: one.hole })}>
                  {one.label}
                </button>
                <span>{one.words}</span>
              </li>
            ))}
            {told.value.used.map((one) => (
              <li key={one.hole}>
                <LevelSign level="ok" words="tool" />
                <button type="button" className="metal-link" onClick={() => onChoose({ hole: one.hole })}>
                  {one.label}
                </button>
                <span>{one.words}</span>
              </li>
            ))}
          </ul>
          {told.value.traps.map((trap) => (
            <p key={trap} className="metal-trap">
              <LevelSign level="watch" words="trap" /> {trap}
            </p>
          ))}
        </>
      )}
    </section>
  );
}

function AddTool({
  onAdd,
}: {
  onAdd: (kind: ChassisTool["kind"], cuts: ChassisTool["cutsMillimetres"]) => string | undefined;
}) {
  const [kind, setKind] = useState<ChassisTool["kind"]>("drill");
  const [cuts, setCuts] = useState("");
  const [refused, setRefused] = useState<string>();
  return (
    <form
      className="metal-add-tool"
      onSubmit={(event) => {
        event.preventDefault();
        const read = readCuts(cuts);
        if (!read.ok) {
          setRefused(read.failure);
          return;
        }
        const value = "from" in read.value ? read.value : [...read.value];
        const sentence = onAdd(kind, value);
        setRefused(sentence);
        if (sentence === undefined) setCuts("");
      }}
    >
      <PickField label="Another tool" value={kind} options={TOOL_KINDS} onPick={setKind} />
      <div className="metal-length metal-text">
        <label htmlFor="metal-cuts">cuts</label>
        <input
          id="metal-cuts"
          className="field"
          autoComplete="off"
          placeholder="16; 20; 22.5 or 4 to 30"
          value={cuts}
          aria-invalid={refused !== undefined}
          aria-describedby={refused === undefined ? undefined : "metal-cuts-wrong"}
          onChange={(event) => {
            setCuts(event.currentTarget.value);
            setRefused(undefined);
          }}
        />
      </div>
      <button type="submit" className="button">
        Add it
      </button>
      {refused !== undefined && (
        <span id="metal-cuts-wrong" className="field-words" role="alert">
          {refused}
        </span>
      )}
    </form>
  );
}
