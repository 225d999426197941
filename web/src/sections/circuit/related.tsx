import type { Change, Finding } from "@platewright/design";
import { LevelSign } from "../../parts/level.tsx";
import { usePreview } from "../../state/use-preview.ts";
import { thin } from "./words.ts";

/** Findings about a part or its stage, with what would answer them; what is only unverified stands folded. */
export function Related({ findings }: { findings: readonly Finding[] }) {
  const open = findings.filter(isToDecide);
  const folded = findings.filter((one) => !isToDecide(one) && one.level !== "ok");
  if (open.length + folded.length === 0) return null;
  return (
    <ul className="circuit-findings" aria-label="Findings">
      {open.map((one) => (
        <One key={one.id} finding={one} />
      ))}
      {folded.length > 0 && (
        <li>
          <details>
            <summary>
              {folded.length} watched only because {folded.length === 1 ? "its limit is" : "their limits are"}{" "}
              unverified
            </summary>
            <ul>
              {folded.map((one) => (
                <One key={one.id} finding={one} />
              ))}
            </ul>
          </details>
        </li>
      )}
    </ul>
  );
}

const isToDecide = ({ level, fixes, title }: Finding): boolean =>
  level === "stop" || fixes.length > 0 || (level === "watch" && !title.endsWith(": limit unverified"));

function One({ finding: { level, title, fixes } }: { finding: Finding }) {
  return (
    <li>
      <LevelSign level={level} /> <span>{thin(title)}</span>
      {fixes.map((fix) => (
        <EditButton key={fix.title} title={fix.title} changes={fix.changes} words={thin(fix.title)} />
      ))}
    </li>
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
