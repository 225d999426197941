/** The shop that commands work on: the builder's own, in its usual folder or in that of PLATEWRIGHT_DATA. */
import { openCatalogue } from "@platewright/library";
import { badInput } from "../outcome.ts";
import { dataFolder, openStore, shopFileIn, type Store } from "../store/index.ts";

export function openShop(): Store {
  const folder = dataFolder(process.env, process.platform);
  if (!folder.ok) return badInput(folder.failure.sentence);
  const opened = openStore(shopFileIn(folder.value, process.platform), {
    now: () => new Date().toISOString(),
    catalogue: openCatalogue(),
  });
  return opened.ok ? opened.value : badInput(opened.failure.sentence);
}
