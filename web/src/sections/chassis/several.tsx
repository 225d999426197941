import type { Edit } from "../../state/edits.ts";
import { useEdits } from "../../state/use-edits.ts";
import { useSession } from "../../state/use-session.ts";
import { aligned, spacedEvenly } from "./layout-edits.ts";

/** What is done to several that are chosen; the first of them stays. */
export function Several({ ids }: { ids: readonly string[] }) {
  const kept = useSession((session) => session.book.value);
  return (
    <div className="chassis-several no-print" role="group" aria-label="Several chosen">
      <p>{ids.join(", ")}</p>
      <Ways words="In line" across={aligned(kept, ids, "y")} along={aligned(kept, ids, "x")} />
      {ids.length > 2 && (
        <Ways words="Space evenly" across={spacedEvenly(kept, ids, "x")} along={spacedEvenly(kept, ids, "y")} />
      )}
    </div>
  );
}

/** One deed, either way over the plate. */
function Ways({ words, across, along }: { words: string; across: Edit; along: Edit }) {
  const edits = useEdits();
  return (
    <>
      <span>{words}</span>
      <button type="button" className="button" aria-label={`${words} across`} onClick={() => edits.keep(across)}>
        across
      </button>
      <button type="button" className="button" aria-label={`${words} front to rear`} onClick={() => edits.keep(along)}>
        front to rear
      </button>
    </>
  );
}
