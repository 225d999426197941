import type { Change, Finding } from "@platewright/design";
import { LevelSign } from "../../parts/level.tsx";
import { usePreview } from "../rework/use-preview.ts";
import { thin } from "./words.ts";

/** Findings about a part or its stage, with what would answer them. */
export function Related({ findings }: { findings: readonly Finding[] }) {
  if (findings.length === 0) return null;
  return (
    <ul className="circuit-findings" aria-label="Findings">
      {findings.map(({ id, level, title, fixes }) => (
        <li key={id}>
          <LevelSign level={level} /> <span>{thin(title)}</span>
          {fixes.map((fix) => (
            <EditButton key={fix.title} title={fix.title} changes={fix.changes} words={thin(fix.title)} />
          ))}
        </li>
      ))}
    </ul>
  );
}

/** Does something; resting on it shows what it would do. */
export function EditButton({
  title,
  changes,
  words,
  pressed,
}: {
  title: string;
  changes: readonly Change[];
  words: string;
  pressed?: boolean;
}) {
  const preview = usePreview(title, changes);
  return (
    <button
      type="button"
      className="button"
      {...(pressed === undefined ? {} : { "aria-pressed": pressed })}
      {...preview}
    >
      {words}
    </button>
  );
}
