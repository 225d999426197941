import type { DocumentHole } from "@platewright/design";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { Chosen } from "./panel.ts";

const NONE = {};
const NO_HOLES: readonly DocumentHole[] = [];

export interface ChosenHole {
  /** The hole of the document that is chosen, by itself or as a row of the table ("V3/body" that H3 stands for). */
  readonly hole: DocumentHole | undefined;
  /** Holes of the chosen item that are there. */
  readonly ofItem: readonly DocumentHole[];
  /** A row of the table without a hole that is there: it is to be cut with its part. */
  readonly due: string | undefined;
}

export function useChosenHole(chosen: Chosen | undefined): ChosenHole {
  const holes = useSession((session) => session.book.value.chassis?.holes) ?? NO_HOLES;
  const { value: rows } = useAnswer("chassisHoles", NONE);
  const row = rows?.find((one) => one.id === chosen?.hole);
  const id = row?.existing ?? chosen?.hole;
  const hole = id === undefined ? undefined : holes.find((one) => one.id === id);
  const there = new Set(
    (rows ?? []).flatMap((one) => (one.item === chosen?.item && one.existing !== null ? [one.existing] : [])),
  );
  return {
    hole,
    ofItem: chosen?.item === undefined ? NO_HOLES : holes.filter((one) => there.has(one.id)),
    due: hole === undefined ? row?.label : undefined,
  };
}
