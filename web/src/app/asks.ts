/** What the shell asks of the bench. */
import { bottleGroups, diffDocuments, expand, movesWords, placeType } from "@platewright/design";
import { fail, ok } from "@platewright/engine";
import { ask } from "../worker/ask.ts";

export const shellAsks = {
  /** Another type in a bottle and in its equals of the other channels: the edit with its wires moved, values as they are. */
  placeTube: ask(
    "live",
    ({ input: { document }, catalogue }, { envelope, type }: { envelope: string; type: string }) => {
      const expanded = expand(document);
      if (!expanded.ok) return fail(expanded.failure.sentence);
      const record = catalogue.tube(type);
      if (record === undefined) {
        const near = catalogue.near(type).slice(0, 3);
        return fail(`The library has no ${type}${near.length === 0 ? "" : `; it has ${near.join(", ")}`}.`);
      }
      const group = bottleGroups(document, expanded.value).find((one) => one.envelopes.includes(envelope));
      const envelopes = group?.envelopes ?? [envelope];
      const placed = placeType(document, expanded.value, catalogue, envelopes, type);
      if (placed.obstacle !== undefined) return fail(`${envelope}: ${placed.obstacle}.`);
      const moved = placed.moves[0]?.moves ?? [];
      return ok({
        title: `${envelopes.join(", ")} ${type}${moved.length === 0 ? "" : `, ${movesWords(moved)}`}`.slice(0, 200),
        changes: diffDocuments(document, placed.document),
      });
    },
  ),
};
