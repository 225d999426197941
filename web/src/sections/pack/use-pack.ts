/** Everything the Pack screen shows: which papers, of what, on which paper, and how they differ from the last revision. */
import { type Document, type PriceBook, type Revision, sameDocument } from "@platewright/design";
import type { PageSize } from "@platewright/drawing";
import { useMemo, useState } from "react";
import { useSession } from "../../state/use-session.ts";
import type { Told } from "../../worker/desk.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { PackAnswer } from "./asks.ts";
import { compareMarks, type PaperChange } from "./marks.ts";
import { useStored } from "../../state/use-stored.ts";

export interface Pack {
  readonly told: Told<PackAnswer>;
  /** Chosen: undefined is what the line holds now. */
  readonly chosen: string | undefined;
  readonly choose: (revision: string | undefined) => void;
  /** The revision on the papers, when it is one that was cut. */
  readonly cut: Revision | undefined;
  readonly size: PageSize;
  readonly setSize: (size: PageSize) => void;
  readonly date: string;
  /** undefined: that of the revision, or today's. */
  readonly setDate: (date: string | undefined) => void;
  readonly prices: PriceBook | undefined;
  readonly setPrices: (prices: PriceBook | undefined) => void;
  /** What the papers are compared with; undefined: nothing was cut, or they are of a revision themselves. */
  readonly against: string | undefined;
  readonly changes: ReadonlyMap<string, PaperChange> | undefined;
}

const isSize = (value: unknown): value is PageSize => value === "A4" || value === "A3" || value === "Letter";
/** Kept by this page alone; the workshop checks what is sent to it. */
const isPrices = (value: unknown): value is PriceBook | undefined =>
  value === undefined ||
  (typeof value === "object" && value !== null && "currency" in value && "parts" in value && "work" in value);

export function usePack(): Pack {
  const now = useSession((session) => session.book.value);
  const revisions = useSession((session) => session.revisions);
  const [chosen, choose] = useState<string>();
  const [typedDate, setDate] = useState<string>();
  const [today] = useState(localDay);
  const [size, setSize] = useStored<PageSize>("paper", "A4", isSize);
  const [prices, setPrices] = useStored<PriceBook | undefined>("prices", undefined, isPrices);
  const known = useMemo(() => revisions.map(plainRevision), [revisions]);
  const cut = useMemo(() => revisionShown(known, now, chosen), [known, now, chosen]);
  const date = typedDate ?? cut?.cutOn ?? today;
  const last = known.at(-1);
  const wanted = useMemo(
    () => ({
      ...(cut === undefined ? {} : { revision: cut }),
      size,
      date,
      ...(prices === undefined ? {} : { prices }),
    }),
    [cut, size, date, prices],
  );
  const told = useAnswer("packPapers", wanted);
  const against = cut === undefined ? last : undefined;
  const changes = useChanges(told, against, wanted);
  return {
    told,
    chosen,
    choose,
    cut,
    size,
    setSize,
    date,
    setDate,
    prices,
    setPrices,
    against: against?.id,
    changes,
  };
}

/** Asked only where there is something to compare; with nothing it is the ask of the papers once more. */
function useChanges(
  told: Told<PackAnswer>,
  against: Revision | undefined,
  wanted: { readonly size: PageSize; readonly date: string; readonly prices?: PriceBook },
): ReadonlyMap<string, PaperChange> | undefined {
  const marks = useAnswer("packMarks", {
    ...wanted,
    ...(against === undefined ? {} : { revision: against }),
    as: "draft",
  });
  const papers = told.value?.papers;
  return useMemo(
    () =>
      against === undefined || papers === undefined || marks.value === undefined
        ? undefined
        : compareMarks(marks.value, papers),
    [against, papers, marks.value],
  );
}

/** The revision asked for, or the one that the line is at; a revision's row without its place in the shop. */
function revisionShown(known: readonly Revision[], now: Document, chosen: string | undefined): Revision | undefined {
  return chosen === undefined
    ? known.findLast((one) => sameDocument(one.document, now))
    : known.find((one) => one.id === chosen);
}

const plainRevision = ({ line: _, seq: __, ...revision }: Revision & { line: string; seq: number }): Revision =>
  revision;

/** The day here, as the builder's calendar has it. */
export function localDay(): string {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((one) => String(one).padStart(2, "0")).join("-");
}
