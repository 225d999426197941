/** What the papers of one revision are made from: solved data, and the few things that are not in a design. */
import type {
  ChassisJudged,
  Document,
  Finding,
  PriceBook,
  ShelfFile,
  SolvedDesign,
  SupplyStudy,
  TubeVerdict,
} from "@platewright/design";
import type { Catalogue } from "@platewright/engine";
import type { Frame, PageSize, Sheet } from "./page.ts";

export interface PackInput {
  readonly document: Document;
  /** "B", or "draft" for what was not cut yet. */
  readonly revision: string;
  /** "2026-11-25". */
  readonly date: string;
  /** The revision that this one is compared with, when it is another one. */
  readonly proven?: { readonly revision: string; readonly document: Document };
  /** Solved nominally, with every level. */
  readonly solved: SolvedDesign;
  readonly study?: SupplyStudy;
  readonly findings: readonly Finding[];
  /** The chassis with everything in its place; undefined when the design has none. */
  readonly chassis?: ChassisJudged;
  readonly tubes: readonly TubeVerdict[];
  readonly catalogue: Catalogue;
  readonly shelf?: ShelfFile;
  readonly prices?: PriceBook;
  readonly size: PageSize;
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"] as const;

/** "2026-11-25" → "25 Nov 2026". */
export function dateWords(date: string): string {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(date);
  const month = MONTHS[Number(match?.[2] ?? 0) - 1];
  return match === null || month === undefined ? date : `${Number(match[3])} ${month} ${match[1] ?? ""}`;
}

/** Sheets of text stay on A4 when drawings go on A3. */
export const textSheet = ({ size }: PackInput): Sheet => ({ size: size === "A3" ? "A4" : size });

export const drawingSheet = ({ size }: PackInput): Sheet => ({ size, landscape: true });

export const frameOf = (
  input: PackInput,
  title: string,
  under: readonly string[],
  note = "Figures computed at this revision; they advise, they do not certify.",
): Frame => ({
  title,
  under,
  design: input.document.name,
  revision: input.revision,
  date: dateWords(input.date),
  note,
  ...noticeOf(input),
});

/** What must not be overlooked on any page. */
function noticeOf({ document, findings }: PackInput): { readonly notice?: string } {
  const stops = findings.filter((one) => one.level === "stop").length;
  const words = [
    ...(stops === 0 ? [] : [`${stops} finding${stops === 1 ? "" : "s"} at stop: do not build.`]),
    // A stop says already that it is not to be built, and the foot has little room.
    ...(document.invented === true
      ? [stops === 0 ? "Invented design. Not for building from." : "Invented design."]
      : []),
  ];
  return words.length === 0 ? {} : { notice: words.join(" ") };
}
