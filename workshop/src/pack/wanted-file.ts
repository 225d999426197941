/** One file of a pack as the page asks for it: a paper, a list, a cut file, or everything as a zip. */
import { type DesignFile, priceBookOf, type ShelfFile } from "@platewright/design";
import { packSteps, packSubject } from "@platewright/drawing";
import { type Catalogue, fail, type Footprints, ok, type Result } from "@platewright/engine";
import type { PackWanted, Refusal } from "../client/contract.ts";
import { isDate } from "./is-date.ts";
import { MANIFEST, packFileSteps } from "./pack-files.ts";
import { toZip } from "../writers/zip.ts";
import { planPack, type ToPdf } from "./plan.ts";

export interface PackAround {
  readonly catalogue: Catalogue;
  readonly footprints: Footprints;
  readonly toPdf: ToPdf;
}

export interface WantedFile {
  /** Small letters, digits, - and one dot: "rev-a-bench-sheet.pdf". */
  readonly name: string;
  readonly type: string;
  readonly bytes: Uint8Array<ArrayBuffer>;
}

/** In steps, so that a server answers others between two of them. */
export function* wantedFile(
  file: Pick<DesignFile, "now" | "revisions" | "proven">,
  shelf: ShelfFile,
  { revision, paper, date, prices, what }: PackWanted,
  { catalogue, footprints, toPdf }: PackAround,
): Generator<unknown, Result<WantedFile, Refusal>> {
  const refuse = (code: string, sentence: string) => fail({ code, sentence });
  if (!isDate(date)) return refuse("not-understood", `date: '${date}' is no date; write it like 2026-11-25.`);
  const subject = packSubject(file, { catalogue, footprints }, revision);
  if (!subject.ok) return refuse("no-revision", `${subject.failure.replace(/^t/, "T")}.`);
  const made = yield* packSteps({
    ...subject.value,
    date,
    size: paper,
    shelf,
    ...(prices === undefined ? {} : { prices: priceBookOf(prices) }),
  });
  if (!made.ok) return refuse("not-solved", `No paper was made: ${made.failure}`);
  const prefix = `rev-${plainName(subject.value.revision)}`;
  if (what === "zip" || what === "manifest") {
    const packed = yield* packFileSteps(made.value, toPdf);
    if (!packed.ok) return refuse("not-written", packed.failure);
    const { files } = packed.value;
    return what === "zip"
      ? ok({ name: `${prefix}.zip`, type: "application/zip", bytes: bytesOf(toZip(files)) })
      : ok({ name: `${prefix}-${MANIFEST}`, type: "application/json", bytes: bytesOf(files.get(MANIFEST) ?? "") });
  }
  const plan = planPack(made.value, toPdf);
  const planned = plan.find((one) => one.kind === what);
  if (planned === undefined)
    return refuse(
      "no-paper",
      `There is no ${what}; there are ${["zip", "manifest", ...plan.map((one) => one.kind)].join(", ")}.`,
    );
  yield undefined;
  const content = planned.make();
  if (!content.ok) return refuse("not-written", content.failure);
  return ok({ name: `${prefix}-${planned.file}`, type: planned.type, bytes: bytesOf(content.value) });
}

/** A revision's name in the name of a file. */
const plainName = (id: string): string => id.toLowerCase().replace(/[^a-z0-9]+/g, "-") || "x";

const bytesOf = (content: string | Uint8Array): Uint8Array<ArrayBuffer> =>
  new Uint8Array(typeof content === "string" ? new TextEncoder().encode(content) : content);
