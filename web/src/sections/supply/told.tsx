import type { Told } from "../../worker/desk.ts";

/**
 * Where there is no answer yet: that it is being solved and how far, or why there will be none. An answer of the edit
 * before stands until the next one is there.
 */
export function Waiting({ told: { value, failure, progress }, what }: { told: Told; what: string }) {
  if (failure !== undefined)
    return (
      <p role="status" className="supply-note">
        {failure}
      </p>
    );
  if (value !== undefined) return null;
  return (
    <p role="status" className="supply-note">
      {what}
      {progress === undefined ? "…" : `: ${Math.min(progress.done, progress.total)} of ${progress.total}`}
    </p>
  );
}
