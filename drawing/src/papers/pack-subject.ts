/** Which state of a design its papers are of: a revision with the data it was cut with, or what stands now. */
import {
  type DesignFile,
  type Document,
  frozenCatalogue,
  frozenFootprints,
  provenRevision,
  type Revision,
  sameDocument,
} from "@platewright/design";
import { type Catalogue, fail, type Footprints, ok, type Result } from "@platewright/engine";
import type { PackInput } from "./pack-input.ts";

export interface PackSubject {
  readonly document: Document;
  /** "B", or "draft". */
  readonly revision: string;
  readonly cutOn?: string;
  /** What it is compared with on the papers, when that is another one. */
  readonly proven?: NonNullable<PackInput["proven"]>;
  readonly catalogue: Catalogue;
  readonly footprints: Footprints;
}

/** The revision asked for; else what the file holds now, by the name of the revision that it equals. */
export function packSubject(
  file: Pick<DesignFile, "now" | "revisions" | "proven">,
  present: { readonly catalogue: Catalogue; readonly footprints: Footprints },
  named?: string,
): Result<PackSubject, string> {
  const found =
    named === undefined
      ? file.revisions.findLast((one) => sameDocument(one.document, file.now))
      : file.revisions.find((one) => one.id === named);
  if (named !== undefined && found === undefined) {
    const all = file.revisions.map((one) => one.id).join(", ");
    return fail(`there is no revision ${named.slice(0, 40)}${all === "" ? "; none was cut" : `; it has ${all}`}`);
  }
  const proven = provenOf(file, found);
  return ok({
    ...(found === undefined
      ? { document: file.now, revision: "draft", ...present }
      : {
          document: found.document,
          revision: found.id,
          ...(found.cutOn === undefined ? {} : { cutOn: found.cutOn }),
          catalogue: frozenCatalogue(found, present.catalogue),
          footprints: frozenFootprints(found, present.footprints),
        }),
    ...(proven === undefined ? {} : { proven }),
  });
}

function provenOf(
  file: Pick<DesignFile, "revisions" | "proven">,
  other: Revision | undefined,
): PackSubject["proven"] | undefined {
  const proven = provenRevision(file);
  return proven === undefined || proven.id === other?.id
    ? undefined
    : { revision: proven.id, document: proven.document };
}
