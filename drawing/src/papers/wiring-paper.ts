/**
 * Wiring: for a rework a card for each socket whose wires move, pins from below; then every wire in the order of work, and
 * what carries itself between the places.
 */
import { wireRuns, type WireRuns, wiringList } from "@platewright/design";
import { dischargeWords } from "./bench-sheet.ts";
import { cardWords, moveCards } from "./move-cards.ts";
import { layPaper, type Paper } from "./page.ts";
import { frameOf, type PackInput, textSheet } from "./pack-input.ts";
import { cautionBox } from "./parts.ts";
import { newPage } from "./piece.ts";
import { carriedPassage, listPassage, runPassage } from "./wiring-list.ts";

export function wiringPaper(input: PackInput): Paper {
  const { document, proven } = input;
  const cards = moveCards(input);
  const runs = runsOn(input);
  const frame = frameOf(input, "Wiring", [
    proven === undefined ? document.envelopes.map((one) => `${one.id} ${one.type}`).join(", ") : cardWords(input),
    "pins counted clockwise, seen from below",
  ]);
  return layPaper("wiring", textSheet(input), frame, [
    cautionBox(...dischargeWords(input.study)),
    ...cards,
    ...(cards.length === 0 ? [] : [newPage]),
    ...listPassage(input, runs),
    ...carriedPassage(input),
    ...(runs === undefined ? [] : runPassage(runs)),
  ]);
}

/** The wires on the chassis, where the design has one. */
export const runsOn = ({ chassis, solved, study }: PackInput): WireRuns | undefined =>
  chassis === undefined ? undefined : wireRuns(chassis, wiringList(solved, study?.solved ?? new Map()));
