import {
  type Change,
  diffDocuments,
  type Document,
  type Finding,
  reworkItems,
  type ReworkItem,
  takeBack,
} from "@platewright/design";
import { useMemo } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import type { Bottles } from "./asks.ts";
import { ItemCell } from "./item-cell.tsx";
import { usePreview } from "../../state/use-preview.ts";

const NO_CHANGES: readonly Change[] = [];

/** More items than this stand in a fold. */
const MOST = 10;

/** Part by part what differs from the proven unit, each with the way to change it and the way back. */
export function WhatChanges({
  proven,
  provenId,
  document,
  bottles,
  findings,
  onPutIn,
}: {
  proven: Document;
  provenId: string | undefined;
  document: Document;
  bottles: readonly Bottles[];
  findings: readonly Finding[];
  onPutIn: (where: string, type?: string) => void;
}) {
  const kept = useSession((session) => session.book.value);
  const inHand = useSession((session) => session.hand !== undefined);
  const items = useMemo(() => shownItems(proven, kept, document), [proven, kept, document]);
  const back = useMemo(() => diffDocuments(kept, proven), [kept, proven]);
  const ways = useMemo(
    () => new Map(reworkItems(proven, kept).map((item) => [item.id, takeBack(kept, proven, item)])),
    [kept, proven],
  );
  const name = provenId === undefined ? "the proven unit" : `proven ${provenId}`;
  return (
    <section className="rework-changes" aria-labelledby="rework-changes">
      <SectionHead
        id="rework-changes"
        title="What changes"
        note={
          provenId === undefined
            ? "nothing is pinned as proven, so nothing is compared"
            : items.length === 0
              ? `nothing differs from ${name}: put another tube in`
              : `${items.length} ${items.length === 1 ? "thing differs" : "things differ"} from ${name}`
        }
        end={
          <span className="rework-changes-do no-print">
            {back.length > 0 && <BackButton changes={back} name={name} />}
            {(items.length === 0 ? [] : bottles).map((one) => (
              <button key={one.where} type="button" className="button rework-small" onClick={() => onPutIn(one.where)}>
                Put another {one.kind === "rectifier" ? "rectifier" : "tube"} in {one.where}…
              </button>
            ))}
          </span>
        }
      />
      {items.length === 0 ? (
        <Invitation bottles={bottles} onPutIn={onPutIn} />
      ) : (
        <ul className={`rework-items${items.length > MOST ? " many" : ""}`}>
          {items.map(({ item, live }) => (
            <ItemCell
              key={item.id}
              item={item}
              live={inHand && live}
              back={ways.get(item.id) ?? NO_CHANGES}
              findings={findings}
              onPutIn={onPutIn}
            />
          ))}
        </ul>
      )}
    </section>
  );
}

function BackButton({ changes, name }: { changes: readonly Change[]; name: string }) {
  const preview = usePreview(`All back to ${name}`, changes);
  return (
    <button type="button" className="button quiet" {...preview}>
      All back to {name}
    </button>
  );
}

/** Items of what is kept keep their place while an edit is in hand; what the edit adds comes last. */
function shownItems(
  proven: Document,
  kept: Document,
  now: Document,
): readonly { readonly item: ReworkItem; readonly live: boolean }[] {
  const before = reworkItems(proven, kept);
  if (kept === now) return before.map((item) => ({ item, live: false }));
  const after = new Map(reworkItems(proven, now).map((item) => [item.id, item]));
  const standing = before.map((item) => {
    const is = after.get(item.id);
    const shown = is ?? { ...item, after: item.before, words: "as proven" };
    return { item: shown, live: shown.after !== item.after || shown.words !== item.words };
  });
  const known = new Set(before.map((item) => item.id));
  const added = [...after.values()].filter((item) => !known.has(item.id));
  return [...standing, ...added.map((item) => ({ item, live: true }))];
}

/** Nothing differs: what the shelf would offer. */
function Invitation({
  bottles,
  onPutIn,
}: {
  bottles: readonly Bottles[];
  onPutIn: (where: string, type?: string) => void;
}) {
  return (
    <div className="rework-invite">
      {bottles.map((one) => {
        const shelf = one.choices.filter((choice) => choice.onShelf > 0 && choice.type !== one.standing);
        return (
          <div key={one.where} className="rework-invite-row">
            <span>
              <b>{one.where}</b> {one.standing}
            </span>
            {shelf.length === 0 ? (
              <span className="muted">
                Nothing else on the shelf goes there; the library has {one.choices.length} types to try:
              </span>
            ) : (
              <>
                <span className="muted">on the shelf:</span>
                {shelf.map((choice) => (
                  <button
                    key={choice.type}
                    type="button"
                    className="button rework-small no-print"
                    aria-label={`${choice.type} ${choice.onShelf} on the shelf: try in ${one.where}`}
                    onClick={() => onPutIn(one.where, choice.type)}
                  >
                    {choice.type} <span className="muted">{choice.onShelf}</span>
                  </button>
                ))}
              </>
            )}
            <button type="button" className="button quiet rework-small no-print" onClick={() => onPutIn(one.where)}>
              any {one.kind === "rectifier" ? "rectifier" : "tube"} of the library…
            </button>
          </div>
        );
      })}
    </div>
  );
}
