/** `platewright pack`: every paper of a revision, the parts as CSV, what a fabricator needs, and a manifest; all or nothing. */
import { CAUTION_SHORT } from "@platewright/design";
import { makePack, type PackInput, packSubject, PAGE_SIZES, type PageSize } from "@platewright/drawing";
import type { Catalogue, Result } from "@platewright/engine";
import { footprints } from "@platewright/library";
import type { Io } from "../io.ts";
import { badInput, type Outcome } from "../outcome.ts";
import { isDate } from "../pack/is-date.ts";
import { type Manifest, packFiles } from "../pack/pack-files.ts";
import type { ToPdf } from "../pack/plan.ts";
import { table, wrap } from "../print/table.ts";
import type { FolderFailure } from "../writers/folder.ts";
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
  readonly zip?: boolean;
}

/** What only this verb loads. */
export interface PackWriters {
  readonly toPdf: ToPdf;
  readonly toZip: (files: ReadonlyMap<string, string | Uint8Array>) => Uint8Array;
  readonly writeFolder: (
    path: string,
    files: ReadonlyMap<string, string | Uint8Array>,
  ) => Result<readonly string[], FolderFailure>;
  /** "2026-11-25": of a draft that no date was given for. */
  readonly today: () => string;
}

export function packCommand(io: Io, path: string, flags: PackFlags, catalogue: Catalogue): Outcome {
  const writers = io.pack ?? badInput("pack: this build cannot write papers; run platewright pack.");
  const size = pageSizeOf(flags.paper);
  const subject = packSubject(openDesign(io, path), { catalogue, footprints }, flags.revision);
  if (!subject.ok) return badInput(`--revision: ${path}: ${subject.failure}.`);
  const date = flags.date ?? subject.value.cutOn ?? writers.today();
  if (!isDate(date)) return badInput(`--date: '${date.slice(0, 40)}' is no date; write it like 2026-11-25.`);
  const made = makePack({
    ...subject.value,
    date,
    size,
    ...(flags.shelf === undefined ? {} : { shelf: openShelf(io, flags.shelf) }),
    ...(flags.prices === undefined ? {} : { prices: readPrices(io, flags.prices) }),
  });
  if (!made.ok) return badInput(`${path}: ${made.failure}`);
  const packed = packFiles(made.value, writers.toPdf);
  if (!packed.ok) return badInput(`${path}: ${packed.failure}`);
  const { files, manifest } = packed.value;
  const all = flags.zip === true ? new Map([...files, [ZIP, writers.toZip(files)]]) : files;
  const written = writers.writeFolder(flags.out, all);
  if (!written.ok) return badInput(`--out ${written.failure.sentence}`);
  return {
    exit: exitOf(made.value.input.findings),
    json: { ...manifest, out: flags.out },
    text: report(manifest, flags.out, made.value.input),
  };
}

/** All files once more, manifest included. */
const ZIP = "pack.zip";

function pageSizeOf(written: string): PageSize {
  const found = (Object.keys(PAGE_SIZES) as PageSize[]).find((one) => one.toLowerCase() === written.toLowerCase());
  return found ?? badInput(`--paper: '${written.slice(0, 20)}' is not known; A4, A3 or Letter.`);
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
