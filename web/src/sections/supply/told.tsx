import type { Told } from "../../worker/desk.ts";

/** Where there is no answer yet: that it is being solved and how far, or why there will be none. */
export function Waiting({ told, what }: { told: Told; what: string }) {
  if (told.failure !== undefined)
    return (
      <p role="status" className="supply-note">
        {told.failure}
      </p>
    );
  const { progress } = told;
  if (told.value !== undefined && (told.fresh || progress === undefined)) return null;
  // An answer of the edit before stands until the next one is there; only a long wait is spoken of.
  if (told.value !== undefined) return null;
  return (
    <p role="status" className="supply-note supply-waiting">
      {what}
      {progress === undefined ? "…" : `: ${Math.min(progress.done, progress.total)} of ${progress.total}`}
    </p>
  );
}
