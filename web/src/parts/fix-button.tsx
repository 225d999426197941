import type { Finding, Fix } from "@platewright/design";
import { usePreview } from "../state/use-preview.ts";
import { useSession } from "../state/use-session.ts";

/** A fix of a finding: looked at when rested on, with what it would make of everything; kept when pressed. */
export function FixButton({
  fix,
  words,
  primary,
  finding,
  before,
  after,
}: {
  fix: Fix;
  words: string;
  primary: boolean;
  finding: Finding;
  before: readonly Finding[];
  /** Findings with the fix in hand, once they are judged. */
  after: readonly Finding[] | undefined;
}) {
  const preview = usePreview(fix.title, fix.changes);
  const looked = useSession((session) => session.hand?.preview === true && session.hand.title === fix.title);
  return (
    <li>
      <button type="button" className={`button${primary ? " primary" : ""}`} {...preview}>
        {words}
      </button>
      {looked && (
        <span className="live" role="status">
          {after === undefined ? "judging…" : outcomeWords(finding, before, after)}
        </span>
      )}
    </li>
  );
}

/** What a fix makes of its finding, and of the others: "would be ok; 2 → 1 stop". */
function outcomeWords(finding: Finding, before: readonly Finding[], after: readonly Finding[]): string {
  const then = after.find((one) => one.id === finding.id);
  const count = (list: readonly Finding[], level: Finding["level"]) => list.filter((one) => one.level === level).length;
  const tallies = (["stop", "watch"] as const).flatMap((level) => {
    const [was, is] = [count(before, level), count(after, level)];
    return was === is ? [] : [`${was} → ${is} ${level}`];
  });
  return [then === undefined ? "this finding goes" : `would be ${then.level}`, ...tallies].join("; ");
}
