import { useEdits } from "../../state/use-edits.ts";
import { useSession } from "../../state/use-session.ts";
import { aligned, spacedEvenly } from "./layout-edits.ts";

/** What is done to several that are chosen; the first of them stays. */
export function Several({ ids }: { ids: readonly string[] }) {
  const edits = useEdits();
  const kept = useSession((session) => session.book.value);
  return (
    <div className="chassis-several no-print" role="group" aria-label="Several chosen">
      <p>{ids.join(", ")}</p>
      <span>In line</span>
      <button
        type="button"
        className="button"
        aria-label="In line across"
        onClick={() => edits.keep(aligned(kept, ids, "y"))}
      >
        across
      </button>
      <button
        type="button"
        className="button"
        aria-label="In line front to rear"
        onClick={() => edits.keep(aligned(kept, ids, "x"))}
      >
        front to rear
      </button>
      {ids.length > 2 && (
        <>
          <span>Space evenly</span>
          <button
            type="button"
            className="button"
            aria-label="Space evenly across"
            onClick={() => edits.keep(spacedEvenly(kept, ids, "x"))}
          >
            across
          </button>
          <button
            type="button"
            className="button"
            aria-label="Space evenly front to rear"
            onClick={() => edits.keep(spacedEvenly(kept, ids, "y"))}
          >
            front to rear
          </button>
        </>
      )}
    </div>
  );
}
