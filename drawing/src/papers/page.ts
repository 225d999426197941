/**
 * Pages: pieces set one under the other into a frame with title, revision and title block, as many pages as they take.
 *
 * Method  A page is filled from the top; a piece that keeps with its followers goes to the next page with them. What repeats
 *         (the head of a table) stands again where its rows go on. A last page with a line or two is drawn back.
 * Limits  Pieces that keep together and are higher than a page are parted between them; one piece higher than a page is a
 *         broken promise of the part that made it.
 */
import { flatten, itemBox } from "../bounds.ts";
import { type Item, type Scene, WEIGHTS } from "../scene.ts";
import { type Figure, letterBox, letterWidth, PAPER_SIZES, runsOf, shortened, wrapRuns } from "./letters.ts";
import { baseline, group, lineHeight, lineOfRuns, type Passage, type Piece } from "./piece.ts";

export type PageSize = "A4" | "A3" | "Letter";

/** Short and long side, millimetres. */
export const PAGE_SIZES: Readonly<Record<PageSize, readonly [number, number]>> = {
  A4: [210, 297],
  A3: [297, 420],
  Letter: [215.9, 279.4],
};

export interface Sheet {
  readonly size: PageSize;
  readonly landscape?: boolean;
}

/** What stands on every page. */
export interface Frame {
  /** "Bench sheet". */
  readonly title: string;
  /** One or two lines beside the title. */
  readonly under: readonly string[];
  readonly design: string;
  /** "B". */
  readonly revision: string;
  /** As printed: "25 Nov 2026". */
  readonly date: string;
  /** In the foot, left and right. */
  readonly note?: string;
  readonly notice?: string;
}

export interface Paper {
  /** "bench-sheet": names its file. */
  readonly kind: string;
  readonly title: string;
  readonly pages: readonly Scene[];
  /** Every figure printed, with where it comes from. */
  readonly figures: readonly Figure[];
}

const MARGIN = { side: 15, top: 11, bottom: 9 } as const;
const FOOT = { block: 10.5, note: 6 } as const;
/** Least room between what is written and the foot. */
const ABOVE_FOOT = 3;

export const pageSize = ({ size, landscape = false }: Sheet): { readonly width: number; readonly height: number } => {
  const [short, long] = PAGE_SIZES[size];
  return landscape ? { width: long, height: short } : { width: short, height: long };
};

/** Room that a page has for what is written, under its title and over its foot. */
export function pageRoom(sheet: Sheet): { readonly width: number; readonly height: number } {
  const { width, height } = pageSize(sheet);
  return { width: width - 2 * MARGIN.side, height: height - TOP - BOTTOM };
}

const HEAD = 12.5;
const TOP = MARGIN.top + HEAD + 3.5;
const BOTTOM = MARGIN.bottom + FOOT.block + FOOT.note + ABOVE_FOOT;

/** Lays a paper out. */
export function layPaper(kind: string, sheet: Sheet, frame: Frame, parts: readonly Passage[]): Paper {
  const room = pageRoom(sheet);
  const filled = wellFilled(
    parts.flatMap((part) => part(room.width)),
    room.height,
  );
  const { width, height } = pageSize(sheet);
  const pages = filled.map((pieces, n): Scene => {
    const placed = stack(pieces);
    return {
      units: "mm",
      width,
      height,
      title: `${frame.design}: ${frame.title}, page ${n + 1} of ${filled.length}`,
      description: `${frame.title} of ${frame.design}, revision ${frame.revision}, ${frame.date}.`,
      items: [...frameItems(frame, width, height, n + 1, filled.length), group([MARGIN.side, TOP], placed)],
    };
  });
  return { kind, title: frame.title, pages, figures: filled.flat().flatMap((piece) => piece.figures) };
}

function stack(pieces: readonly Piece[]): readonly Item[] {
  let y = 0;
  return pieces.flatMap((piece, n) => {
    y += n === 0 ? 0 : (piece.above ?? 0);
    const items = piece.items.length === 0 ? [] : [group([0, y], piece.items)];
    y += piece.height;
    return items;
  });
}

/** A last page with less on it than this share of its room is drawn back. */
const POOR_PAGE = 0.12;
/** How far the room above pieces may be taken in for that. */
const TIGHTER = [0.7, 0.45] as const;

/** Pages filled; where the last would hold a line or two, the room between pieces gives way until it is gone, if it can. */
function wellFilled(pieces: readonly Piece[], room: number): readonly (readonly Piece[])[] {
  const plain = fillPages(pieces, room);
  const last = plain[plain.length - 1] ?? [];
  if (plain.length < 2 || heightOf(last, true) > POOR_PAGE * room) return plain;
  for (const share of TIGHTER) {
    const tight = fillPages(
      pieces.map((piece) => (piece.above === undefined ? piece : { ...piece, above: piece.above * share })),
      room,
    );
    if (tight.length < plain.length) return tight;
  }
  return plain;
}

/** Pieces by page. */
export function fillPages(pieces: readonly Piece[], room: number): readonly (readonly Piece[])[] {
  const pages: Piece[][] = [];
  let page: Piece[] = [];
  let used = 0;
  let head: readonly Piece[] = [];
  const close = () => {
    if (page.length > 0) pages.push(page);
    page = [];
    used = 0;
  };
  const put = (piece: Piece) => {
    used += (page.length === 0 ? 0 : (piece.above ?? 0)) + piece.height;
    page.push(piece);
  };
  for (const chain of chainsOf(pieces)) {
    const [first] = chain;
    if (first?.newPage === true) {
      close();
      head = [];
      continue;
    }
    const needs = heightOf(chain, page.length === 0);
    if (page.length > 0 && used + needs > room + 1e-6) {
      close();
      // The head stands in the chain itself where the table begins with it.
      if (!chain.some((piece) => (piece.repeat ?? []).length > 0)) for (const piece of head) put(piece);
    }
    for (const piece of chain) {
      if (page.length > 0 && used + (piece.above ?? 0) + piece.height > room + 1e-6) {
        close();
        for (const one of head) put(one);
      }
      put(piece);
      if (piece.repeat !== undefined) head = piece.repeat;
    }
  }
  close();
  return pages.length === 0 ? [[]] : pages;
}

/** Pieces that stay together. */
function chainsOf(pieces: readonly Piece[]): readonly (readonly Piece[])[] {
  const chains: Piece[][] = [];
  let open = false;
  for (const piece of pieces) {
    const last = chains[chains.length - 1];
    if (open && last !== undefined && piece.newPage !== true) last.push(piece);
    else chains.push([piece]);
    open = piece.keep === true;
  }
  return chains;
}

const heightOf = (chain: readonly Piece[], atTop: boolean): number =>
  chain.reduce((sum, piece, n) => sum + (n === 0 && atTop ? 0 : (piece.above ?? 0)) + piece.height, 0);

function frameItems(frame: Frame, width: number, height: number, page: number, pages: number): readonly Item[] {
  const left = MARGIN.side;
  const right = width - MARGIN.side;
  const base = MARGIN.top + HEAD - 4;
  const revision = `Rev ${frame.revision}`;
  const revisionSize = fitted(revision, (right - left) * 0.3, PAPER_SIZES.title);
  const titleSize = fitted(frame.title, (right - left) * 0.45, PAPER_SIZES.title);
  const titleRight = left + letterWidth(frame.title, titleSize, true) + 6;
  const room = right - letterWidth(revision, revisionSize, true) - 6 - titleRight;
  const under = frame.under
    .flatMap((line) => wrapRuns(runsOf(line), room, PAPER_SIZES.text))
    .slice(0, 3)
    .flatMap((runs, n, all) =>
      lineOfRuns(
        runs,
        [
          titleRight,
          base - (all.length - 1 - n) * lineHeight() + (all.length === 1 ? 0 : all.length === 2 ? 0.4 : 1.8),
        ],
        PAPER_SIZES.text,
      ),
    );
  return [
    { kind: "text", at: [left, base], text: frame.title, size: titleSize, bold: true },
    ...under,
    { kind: "text", at: [right, base], text: revision, size: revisionSize, bold: true, anchor: "end" },
    { kind: "line", from: [left, base + 4], to: [right, base + 4], weight: WEIGHTS.body },
    ...footItems(frame, left, right, height - MARGIN.bottom - FOOT.block - FOOT.note, page, pages),
  ];
}

/** The size at which a text fits a width. */
const fitted = (text: string, room: number, size: number): number =>
  Math.max(PAPER_SIZES.head, Math.min(size, (size * room) / letterWidth(text, size, true)));

/** Design, paper, date, revision and page, with a line for notes under them. */
function footItems(
  frame: Frame,
  left: number,
  right: number,
  top: number,
  page: number,
  pages: number,
): readonly Item[] {
  const cells = [
    { head: "Design", text: frame.design, share: 3.4 },
    { head: "Paper", text: frame.title, share: 2 },
    { head: "Date", text: frame.date, share: 1.5 },
    { head: "Revision", text: frame.revision, share: 1.5 },
    { head: "Page", text: `${page} of ${pages}`, share: 1 },
  ];
  const all = cells.reduce((sum, cell) => sum + cell.share, 0);
  const items: Item[] = [
    {
      kind: "rect",
      at: [left, top],
      width: right - left,
      height: FOOT.block + FOOT.note,
      weight: WEIGHTS.light,
    },
    { kind: "line", from: [left, top + FOOT.block], to: [right, top + FOOT.block], weight: WEIGHTS.light },
  ];
  let x = left;
  for (const [n, cell] of cells.entries()) {
    const width = ((right - left) * cell.share) / all;
    if (n > 0) items.push({ kind: "line", from: [x, top], to: [x, top + FOOT.block], weight: WEIGHTS.light });
    items.push({ kind: "text", at: [x + 2, top + 4.2], text: cell.head, size: PAPER_SIZES.text });
    const text = shortened(cell.text, width - 4, PAPER_SIZES.text, true);
    items.push({ kind: "text", at: [x + 2, top + 8.6], text, size: PAPER_SIZES.text, bold: true });
    x += width;
  }
  const y = top + FOOT.block + baseline() + 0.9;
  const noticeWidth = letterWidth(frame.notice ?? "", PAPER_SIZES.text);
  const note = shortened(frame.note ?? "", right - left - 8 - noticeWidth, PAPER_SIZES.text);
  items.push(...lineOfRuns(runsOf(note), [left + 2, y], PAPER_SIZES.text));
  if (frame.notice !== undefined)
    items.push(...lineOfRuns(runsOf(frame.notice), [right - 2, y], PAPER_SIZES.text, "end"));
  return items;
}

/** What leaves its page, text as wide as the papers' font draws it. Empty for every paper. */
export const offPage = (page: Scene): readonly Item[] =>
  flatten(page.items).filter((item) => {
    const edge = 1e-3;
    const box = item.kind === "text" ? letterBox(item) : itemBox(item);
    const inside =
      box.left >= -edge && box.top >= -edge && box.right <= page.width + edge && box.bottom <= page.height + edge;
    return box.left !== Infinity && !inside;
  });
