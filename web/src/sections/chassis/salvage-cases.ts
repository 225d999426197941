/** Holes that somebody has to decide about, and those about which somebody did: in the way first, then idle, then decided. */
import { type ChassisHole, type ChassisJudged, itemName, type SalvageChoice, sizeWords } from "@platewright/design";

export interface SalvageCase {
  /** Of the document. */
  readonly hole: string;
  /** What is to stand there. */
  readonly item: string | null;
  readonly level: "stop" | "watch" | "ok";
  readonly title: string;
  readonly note: string;
  /** What was decided. */
  readonly decided: SalvageChoice["by"] | null;
  /** The item and the places, on which a chosen hole or item is found again. */
  readonly items: readonly string[];
}

export function salvageCases(judged: ChassisJudged): readonly SalvageCase[] {
  const { chassis, holes } = judged;
  const decisions = new Map((chassis.salvage ?? []).map((one) => [one.hole, one]));
  const cases: SalvageCase[] = [];
  const seen = new Set<string>();
  const add = (one: SalvageCase) => {
    const key = `${one.hole} ${one.item ?? ""}`;
    if (seen.has(key)) return;
    seen.add(key);
    cases.push(one);
  };
  const nameOf = (id: string): string => {
    const found = chassis.items.find((one) => one.id === id);
    return found === undefined ? id : itemName(found);
  };
  const decided = (hole: string, item: string | undefined): SalvageChoice | undefined => {
    const found = decisions.get(hole);
    return found?.item === item ? found : undefined;
  };
  for (const row of holes.holes) {
    const there = chassis.holes.find((one) => one.id === row.existing);
    if (there === undefined || row.item === undefined || !(row.work === "unresolved" || row.work === "open-up"))
      continue;
    const choice = decided(there.id, row.item);
    add({
      hole: there.id,
      item: row.item,
      level: row.work === "unresolved" ? "stop" : choice === undefined ? "watch" : "ok",
      title: `${there.id} is ${sizeWords(there.shape)}, ${nameOf(row.item)} wants ${sizeWords(row.shape)}`,
      note: row.work === "open-up" ? "it can be opened up" : rimWords(row, holes.holes),
      decided: choice?.by ?? null,
      items: [row.item],
    });
  }
  for (const { choice, why } of holes.refused)
    add({
      hole: choice.hole,
      item: choice.item ?? null,
      level: "stop",
      title: `${choice.hole}: what was decided cannot be`,
      note: why,
      decided: choice.by,
      items: choice.item === undefined ? [] : [choice.item],
    });
  for (const row of holes.holes) {
    const there = chassis.holes.find((one) => one.id === row.existing);
    if (there === undefined || row.purpose !== "none" || there.state !== "cut" || decisions.has(there.id)) continue;
    add({
      hole: there.id,
      item: null,
      level: "watch",
      title: `${there.id}, ${sizeWords(there.shape)}, serves nothing`,
      note: there.serves === undefined ? (there.note ?? "") : `it was for ${nameOf(there.serves)}`,
      decided: null,
      items: there.serves === undefined ? [] : [there.serves],
    });
  }
  for (const choice of decisions.values()) {
    const there = chassis.holes.find((one) => one.id === choice.hole);
    if (there === undefined || seen.has(`${choice.hole} ${choice.item ?? ""}`)) continue;
    add({
      hole: choice.hole,
      item: choice.item ?? null,
      level: "ok",
      title: `${choice.hole}, ${sizeWords(there.shape)}${choice.item === undefined ? "" : `, ${nameOf(choice.item)}`}`,
      note: "",
      decided: choice.by,
      items: choice.item === undefined ? [] : [choice.item],
    });
  }
  const rank = (one: SalvageCase): number => (one.level === "stop" ? 0 : one.decided === null ? 1 : 2);
  return cases.sort((one, other) => rank(one) - rank(other));
}

/** What of the part else would come down on the rim of the same hole. */
function rimWords(row: ChassisHole, all: readonly ChassisHole[]): string {
  const screws = all.filter(
    (one) => one.item === row.item && one.purpose === "screw" && one.existing === row.existing && one !== row,
  );
  return screws.length === 0
    ? ""
    : `${screws.length === 1 ? "a screw" : `${screws.length} screws`} would fall on its rim`;
}

/** The cases of what is chosen; all when nothing of them is. */
export function casesOf(
  cases: readonly SalvageCase[],
  chosen: { readonly item?: string; readonly hole?: string } | undefined,
): readonly SalvageCase[] {
  const hole = chosen?.hole;
  const byHole = hole === undefined ? [] : cases.filter((one) => one.hole === hole);
  if (byHole.length > 0) return byHole;
  const item = chosen?.item ?? hole?.split("/")[0];
  return item === undefined ? [] : cases.filter((one) => one.items.includes(item));
}
