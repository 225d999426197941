/**
 * The files of a pack, each by its kind: named first, made when asked for, so that one of them can be had alone. The verb
 * `pack` and the page's downloads both take theirs from here; the same design, revision and date give the same bytes.
 */
import { type PackInput, type PackMade, type Paper, partsTable } from "@platewright/drawing";
import { fail, ok, type Result } from "@platewright/engine";
import { toCsv } from "../writers/csv.ts";
import { metalFiles } from "./metal-files.ts";
import type { PlannedFile } from "./planned-file.ts";
import type { PdfFailure, PdfHow } from "../writers/pdf.ts";

/** The writer that only a pack loads. */
export type ToPdf = (pages: Paper["pages"], how: PdfHow) => Result<Uint8Array, PdfFailure>;

/** Every file but the manifest, which says what the others became. */
export function planPack({ input, papers }: PackMade, toPdf: ToPdf): readonly PlannedFile[] {
  const title = titleOf(input);
  const pdf = (kind: string, pages: Paper["pages"], how: PdfHow): PlannedFile => ({
    kind,
    file: `${kind}.pdf`,
    type: "application/pdf",
    pages: pages.length,
    make: () => {
      const made = toPdf(pages, how);
      return made.ok ? made : fail(made.failure.sentence);
    },
  });
  return [
    ...papers.map((paper) => pdf(paper.kind, paper.pages, { title: `${paper.title}: ${title}`, date: input.date })),
    pdf(
      "pack",
      papers.flatMap((paper) => paper.pages),
      { title, date: input.date, bookmarks: bookmarksOf(papers) },
    ),
    {
      kind: "parts-list-csv",
      file: "parts-list.csv",
      type: "text/csv; charset=utf-8",
      make: () => ok(toCsv(partsTable(input))),
    },
    ...metalFiles(input),
  ];
}

const titleOf = (input: PackInput): string => `${input.document.name}, revision ${input.revision}`;

function bookmarksOf(papers: readonly Paper[]): NonNullable<PdfHow["bookmarks"]> {
  let page = 0;
  return papers.map((paper) => {
    const mark = { title: paper.title, page };
    page += paper.pages.length;
    return mark;
  });
}
