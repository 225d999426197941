import { type Change, type Document, gridVoltsWhere, turnForFraction } from "@platewright/design";
import { useEffect, useRef } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { partEdit, twinsOf } from "../../state/edits.ts";
import { useAround, useHands } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import type { Curves } from "./harmonics-plot.tsx";
import { positionWords } from "./plot-overlay.tsx";
import { sizeAt } from "./size-at.ts";
import { useLast } from "./use-last.ts";
import { apart, percentWords, quantity } from "./words.ts";

/** H2 over the fundamental at a level at the jack. */
export interface Wish {
  readonly inputVolts: number;
  readonly ratio: number;
}

type Marked = Document["targets"]["wantedH2"];

/** What would bring the H2 wanted: other values, or the drive alone. Nothing is kept until it is pressed. */
export function Wanted({
  wish,
  marked,
  curves,
  onWish,
}: {
  wish: Wish | undefined;
  marked: Marked;
  /** Of the unit as it is kept. */
  curves: Curves;
  onWish: (wish: Wish | undefined) => void;
}) {
  const { session, hands } = useAround();
  const remove = () =>
    hands.keep("No H2 wanted any more", wantedChange(session.getState().book.value.targets.wantedH2, undefined));
  if (wish !== undefined) return <Offer wish={wish} curves={curves} onDone={() => onWish(undefined)} />;
  if (marked === undefined) return null;
  const kept = { inputVolts: marked.inputVolts, ratio: marked.percent / 100 };
  const here = sizeAt(curves.now, 0, kept.inputVolts * curves.gridShare);
  return (
    <div className="voicing-sought">
      <span>
        Wanted: H2 <b>{percentWords(kept.ratio)}</b> at {quantity(kept.inputVolts, "V")} in.
        {here !== undefined && ` Now ${percentWords(here)}, ${apart(here, kept.ratio)} from it.`}
      </span>
      <button type="button" className="button" onClick={() => onWish(kept)}>
        Look for values
      </button>
      <button type="button" className="button quiet" onClick={remove}>
        Forget it
      </button>
    </div>
  );
}

function Offer({ wish, curves, onDone }: { wish: Wish; curves: Curves; onDone: () => void }) {
  const { session } = useAround();
  const hands = useHands();
  const ratio = Number(wish.ratio.toPrecision(2));
  const { inputVolts } = wish;
  const { value: newest, failure } = useAnswer("voicingReach", { inputVolts, ratio });
  const value = useLast(newest);
  usePreviewOf(value === undefined || value.changes.length === 0 ? undefined : value);
  const drive = driveTurn(curves, ratio, inputVolts);
  const here = sizeAt(curves.now, 0, inputVolts * curves.gridShare);
  const keep = (title: string, changes: readonly Change[]) => {
    const before = session.getState().book.value.targets.wantedH2;
    const done = hands.keep(title, [
      ...changes,
      ...wantedChange(before, { inputVolts, percent: Number((100 * ratio).toPrecision(3)) }),
    ]);
    if (done) onDone();
  };
  const wanted = `H2 ${percentWords(ratio)} at ${quantity(inputVolts, "V")}`;
  const turnDrive = (turn: number, part: string) => {
    const base = session.getState().book.value;
    const position = Number(turn.toFixed(3));
    const edit = partEdit(base, twinsOf(base, curves.instance), part, { position });
    keep(`${wanted}: drive to ${(position * 10).toFixed(1)}`, edit.changes);
  };
  const settled = newest !== undefined;
  return (
    <div className="voicing-sought voicing-sought-live" role="status">
      <span>
        Wanted: H2 <b>{percentWords(ratio)}</b> at {quantity(inputVolts, "V")} in
        {value === undefined || value.changes.length === 0
          ? here === undefined
            ? "."
            : `, ${apart(ratio, here)} from now.`
          : `; ${value.values.join(", ")}${value.thenDecibels === null ? "" : value.held ? ` comes within ${value.thenDecibels.toFixed(1)}\u202fdB` : ` comes nearest, ${value.thenDecibels.toFixed(1)}\u202fdB off`}.`}
        {value?.strain !== undefined && value.strain !== null && !value.held && ` (${value.strain})`}{" "}
        {value?.stops[0] !== undefined && <LevelSign level="stop" words={value.stops[0]} />}
        {failure !== undefined && failure}
        {value === undefined && failure === undefined && " Looking through the values on hand…"}
        {value !== undefined && value.changes.length === 0 && settled && " No values on hand come nearer."}
      </span>
      {value !== undefined && value.changes.length > 0 && (
        <button
          type="button"
          className={value.stops.length > 0 ? "button" : "button primary"}
          disabled={!settled}
          onClick={() => keep(`${wanted}: ${value.title}`, value.changes)}
        >
          Take these values
        </button>
      )}
      {drive !== undefined && curves.drive !== null && (
        <button type="button" className="button" onClick={() => turnDrive(drive, curves.drive?.part ?? "")}>
          Turn the drive to {positionWords(drive)}
        </button>
      )}
      <button type="button" className="button" onClick={() => keep(`Wanted: ${wanted}`, [])}>
        Only mark it
      </button>
      <button type="button" className="button quiet" onClick={onDone}>
        Put down
      </button>
    </div>
  );
}

/** The turn of the drive at which H2 is `ratio`; undefined when it cannot bring it, or stands there. */
function driveTurn({ drive, gridShare, now }: Curves, ratio: number, inputVolts: number): number | undefined {
  const here = inputVolts * gridShare;
  const wanted = gridVoltsWhere(now, ratio, here);
  if (drive === null || wanted === undefined || !(here > 0)) return undefined;
  const fraction = (drive.fraction * wanted) / here;
  if (!(fraction > 0 && fraction <= 1) || Math.abs(wanted / here - 1) < 0.005) return undefined;
  return turnForFraction(drive.taper, fraction);
}

/** One field of the document: what is wanted. */
function wantedChange(before: Marked, after: Marked): readonly Change[] {
  const same = before?.inputVolts === after?.inputVolts && before?.percent === after?.percent;
  return same
    ? []
    : [
        {
          target: "targets.wantedH2",
          ...(before === undefined ? {} : { before }),
          ...(after === undefined ? {} : { after }),
        },
      ];
}

/** The values found are shown as if they were in, until they are taken or put down; anything else in hand goes first. */
function usePreviewOf(found: { readonly title: string; readonly changes: readonly Change[] } | undefined): void {
  const { session, hands } = useAround();
  const shown = useRef<string>(undefined);
  const said = found === undefined ? undefined : JSON.stringify([found.title, found.changes]);
  useEffect(() => {
    const drop = () => {
      const { hand } = session.getState();
      if (hand?.preview === true && hand.title === shown.current) hands.drop();
      shown.current = undefined;
    };
    if (said === undefined) {
      drop();
      return undefined;
    }
    const [title, changes] = JSON.parse(said) as [string, readonly Change[]];
    const { hand } = session.getState();
    // What is being changed by hand is never taken out of it.
    if (hand === undefined || hand.preview === true) {
      hands.hold(title, changes, true);
      shown.current = title;
    }
    return undefined;
  }, [session, hands, said]);
  useEffect(
    () => () => {
      const { hand } = session.getState();
      if (hand?.preview === true && hand.title === shown.current) hands.drop();
    },
    [session, hands],
  );
}
