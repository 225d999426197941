/** `platewright pack`: every paper of a revision, the parts as CSV, what a fabricator needs, and a manifest; all or nothing. */
import { createHash } from "node:crypto";
import {
  CAUTION_SHORT,
  type DesignFile,
  diffDocuments,
  type Document,
  frozenCatalogue,
  judgeDesign,
  judgedChassis,
  provenRevision,
  type Revision,
  solveDesign,
  studySupply,
  tubeVerdicts,
} from "@platewright/design";
import { type PackInput, packPapers, PAGE_SIZES, type PageSize, type Paper, partsTable } from "@platewright/drawing";
import type { Catalogue, Result } from "@platewright/engine";
import { footprints } from "@platewright/library";
import type { Io } from "../io.ts";
import { badInput, type Outcome } from "../outcome.ts";
import { table, wrap } from "../print/table.ts";
import { toCsv } from "../writers/csv.ts";
import type { FolderFailure } from "../writers/folder.ts";
import type { PdfFailure, PdfHow } from "../writers/pdf.ts";
import { exitOf } from "./check.ts";
import { openDesign, openShelf } from "./files.ts";
import { readPrices } from "./prices.ts";

export interface PackFlags {
  readonly out: string;
  readonly paper: string;
  readonly date?: string;
  readonly revision?: string;
  readonly shelf?: string;
  readonly prices?: string;
}

/** What only this verb loads. */
export interface PackWriters {
  readonly toPdf: (pages: Paper["pages"], how: PdfHow) => Result<Uint8Array, PdfFailure>;
  readonly writeFolder: (
    path: string,
    files: ReadonlyMap<string, string | Uint8Array>,
  ) => Result<readonly string[], FolderFailure>;
  /** "2026-11-25": of a draft that no date was given for. */
  readonly today: () => string;
}

export interface ManifestFile {
  readonly kind: string;
  readonly file: string;
  readonly sha256: string;
  readonly pages?: number;
}

export interface Manifest {
  readonly format: "platewright/pack@1";
  readonly design: string;
  readonly revision: string;
  readonly date: string;
  readonly paper: PageSize;
  readonly files: readonly ManifestFile[];
}

export function packCommand(io: Io, path: string, flags: PackFlags, catalogue: Catalogue): Outcome {
  const writers = io.pack ?? badInput("pack: this build cannot write papers; run platewright pack.");
  const size = pageSizeOf(flags.paper);
  const file = openDesign(io, path);
  const chosen = chosenOf(file, flags, path, catalogue);
  const date = flags.date ?? chosen.cutOn ?? writers.today();
  if (Number.isNaN(Date.parse(`${date}T00:00:00Z`)) || !/^\d{4}-\d{2}-\d{2}$/.test(date))
    return badInput(`--date: '${date.slice(0, 40)}' is no date; write it like 2026-11-25.`);
  const input = packInput(io, path, flags, { ...chosen, date, size }, provenOtherThan(file, chosen));
  const made = packFiles(input, writers, path);
  const written = writers.writeFolder(flags.out, made.files);
  if (!written.ok) return badInput(`--out ${written.failure.sentence}`);
  return {
    exit: exitOf(input.findings),
    json: { ...made.manifest, out: flags.out },
    text: report(made.manifest, flags.out, input),
  };
}

function pageSizeOf(written: string): PageSize {
  const found = (Object.keys(PAGE_SIZES) as PageSize[]).find((one) => one.toLowerCase() === written.toLowerCase());
  return found ?? badInput(`--paper: '${written.slice(0, 20)}' is not known; A4, A3 or Letter.`);
}

interface Chosen {
  readonly document: Document;
  /** "B", or "draft". */
  readonly revision: string;
  readonly cutOn?: string;
  readonly catalogue: Catalogue;
}

/** The revision asked for, with its own data; else what the file holds now, by the name of the revision that it equals. */
function chosenOf(file: DesignFile, flags: PackFlags, path: string, catalogue: Catalogue): Chosen {
  const of = (revision: Revision): Chosen => ({
    document: revision.document,
    revision: revision.id,
    ...(revision.cutOn === undefined ? {} : { cutOn: revision.cutOn }),
    catalogue: frozenCatalogue(revision, catalogue),
  });
  if (flags.revision !== undefined) {
    const named = file.revisions.find((one) => one.id === flags.revision);
    const all = file.revisions.map((one) => one.id).join(", ");
    if (named === undefined)
      return badInput(
        `--revision ${flags.revision.slice(0, 40)}: ${path} has no such revision${all === "" ? "; none was cut" : `; it has ${all}`}.`,
      );
    return of(named);
  }
  const same = file.revisions.findLast((one) => diffDocuments(one.document, file.now).length === 0);
  return same === undefined ? { document: file.now, revision: "draft", catalogue } : of(same);
}

function provenOtherThan(file: DesignFile, chosen: Chosen): PackInput["proven"] {
  const proven = provenRevision(file);
  return proven === undefined || proven.id === chosen.revision
    ? undefined
    : { revision: proven.id, document: proven.document };
}

/** Everything the papers are made from, solved once. */
function packInput(
  io: Io,
  path: string,
  flags: Pick<PackFlags, "shelf" | "prices">,
  chosen: Chosen & { readonly date: string; readonly size: PageSize },
  proven: PackInput["proven"],
): PackInput {
  const { document, catalogue } = chosen;
  const refuse = (sentence: string) => badInput(`${path}: ${sentence}`);
  const solved = solveDesign(document, catalogue);
  if (!solved.ok) return refuse(solved.failure.sentence);
  const study = document.supply === undefined ? undefined : studySupply(document, catalogue, solved.value);
  if (study?.ok === false) return refuse(study.failure.sentence);
  const findings = judgeDesign(document, catalogue, solved.value, {
    fixes: false,
    footprints,
    ...(study === undefined ? {} : { study: study.value }),
  });
  if (!findings.ok) return refuse(findings.failure);
  const chassis = judgedChassis({ document, catalogue, footprints, solved: solved.value });
  return {
    document,
    revision: chosen.revision,
    date: chosen.date,
    ...(proven === undefined ? {} : { proven }),
    solved: solved.value,
    ...(study === undefined ? {} : { study: study.value }),
    findings: findings.value,
    ...(chassis === undefined ? {} : { chassis }),
    tubes: tubeVerdicts(document, solved.value, catalogue, findings.value),
    catalogue,
    ...(flags.shelf === undefined ? {} : { shelf: openShelf(io, flags.shelf) }),
    ...(flags.prices === undefined ? {} : { prices: readPrices(io, flags.prices) }),
    size: chosen.size,
  };
}

/** Files of the pack in memory, and what the manifest says of them. */
function packFiles(
  input: PackInput,
  writers: PackWriters,
  path: string,
): { readonly files: ReadonlyMap<string, string | Uint8Array>; readonly manifest: Manifest } {
  const papers = packPapers(input);
  const files = new Map<string, string | Uint8Array>();
  const listed: ManifestFile[] = [];
  const add = (kind: string, name: string, content: string | Uint8Array, pages?: number) => {
    files.set(name, content);
    const sha256 = createHash("sha256").update(content).digest("hex");
    listed.push({ kind, file: name, sha256, ...(pages === undefined ? {} : { pages }) });
  };
  const title = `${input.document.name}, revision ${input.revision}`;
  const pdf = (pages: Paper["pages"], how: PdfHow): Uint8Array => {
    const made = writers.toPdf(pages, how);
    return made.ok ? made.value : badInput(`${path}: ${made.failure.sentence}`);
  };
  for (const paper of papers)
    add(
      paper.kind,
      `${paper.kind}.pdf`,
      pdf(paper.pages, { title: `${paper.title}: ${title}`, date: input.date }),
      paper.pages.length,
    );
  let page = 0;
  const bookmarks = papers.map((paper) => {
    const mark = { title: paper.title, page };
    page += paper.pages.length;
    return mark;
  });
  const pages = papers.flatMap((paper) => paper.pages);
  add("pack", "pack.pdf", pdf(pages, { title, date: input.date, bookmarks }), pages.length);
  add("parts-list-csv", "parts-list.csv", toCsv(partsTable(input)));
  const manifest: Manifest = {
    format: "platewright/pack@1",
    design: input.document.name,
    revision: input.revision,
    date: input.date,
    paper: input.size,
    files: listed,
  };
  files.set("manifest.json", `${JSON.stringify(manifest, undefined, 1)}\n`);
  return { files, manifest };
}

function report(manifest: Manifest, out: string, input: PackInput): string {
  const stops = input.findings.filter((one) => one.level === "stop");
  return [
    `${manifest.design}, revision ${manifest.revision}, ${manifest.date}, in ${out}`,
    "",
    table(
      [{ title: "file" }, { title: "pages", align: "right" }, { title: "sha256, its beginning" }],
      manifest.files.map((one) => [
        one.file,
        one.pages === undefined ? "" : String(one.pages),
        one.sha256.slice(0, 16),
      ]),
    ),
    "",
    ...(stops.length === 0
      ? []
      : [wrap(`${stops.length} findings at stop; the papers say so on every page: ${stops[0]?.title ?? ""}`, 98), ""]),
    wrap(CAUTION_SHORT, 98),
    "",
  ].join("\n");
}
