import { type Change, type Finding, QUANTITY_OF, type ReworkItem } from "@platewright/design";
import { clockPosition } from "@platewright/engine";
import { memo } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { ValueField } from "../../parts/value-field.tsx";
import { partEdit, partOf } from "../../state/edits.ts";
import { useDocument, useHands, useSession } from "../../state/use-session.ts";
import { usePreview } from "../../state/use-preview.ts";
import { thin } from "./words.ts";

/** One thing that differs: was → is, with its own way to change it, and one press back to proven. */
export const ItemCell = memo(function ItemCell({
  item,
  live,
  back,
  findings,
  onPutIn,
}: {
  item: ReworkItem;
  live: boolean;
  /** Changes that take it back to proven; none for what is not kept yet. */
  back: readonly Change[];
  findings: readonly Finding[];
  onPutIn: (where: string) => void;
}) {
  const stop = findings.find((one) => one.level === "stop" && isAbout(item, one));
  return (
    <li className={`rework-item${live ? " live-item" : ""}`}>
      <div className="rework-item-head">
        <span>
          <b>{item.where}</b> {item.what}
        </span>
        <Back item={item} changes={back} />
      </div>
      <div className="rework-item-values">
        {item.before !== "" && (
          <>
            <span className="rework-item-was">{thin(item.before)}</span>
            <span aria-hidden="true">→</span>
            <span className="unseen">now</span>
          </>
        )}
        <Control item={item} onPutIn={onPutIn} />
      </div>
      <div className="rework-item-words" title={item.words}>
        {stop !== undefined && <LevelSign level="stop" />} {thin(item.words)}
      </div>
    </li>
  );
});

/** Is a finding about this bottle, part or thing on the chassis? A bottle's metal is the chassis' affair, but for its socket. */
function isAbout(item: ReworkItem, { rule, where, channel }: Finding): boolean {
  const ofChassis = rule.startsWith("chassis-");
  if (item.kind === "chassis") return ofChassis && where === item.where;
  if (ofChassis && rule !== "chassis-socket") return false;
  if (item.envelopes !== undefined) return item.envelopes.some((id) => where === id || where.startsWith(`${id}/`));
  if (item.part === undefined) return false;
  const { instances, partId } = item.part;
  return instances.some((instance) => where === `${instance}.${partId}`) && channel !== undefined;
}

function Back({ item, changes }: { item: ReworkItem; changes: readonly Change[] }) {
  const preview = usePreview(`${item.where} ${item.before === "" ? "as before" : `back to ${item.before}`}`, changes);
  if (changes.length === 0) return null;
  return (
    <button
      type="button"
      className="button quiet rework-back no-print"
      aria-label={`Back to proven: ${item.where} ${item.before}`}
      {...preview}
    >
      back
    </button>
  );
}

function Control({ item, onPutIn }: { item: ReworkItem; onPutIn: (where: string) => void }) {
  if (item.envelopes !== undefined)
    return (
      <button
        type="button"
        className="rework-tube"
        aria-label={`${item.where}: ${item.after}, put another in`}
        onClick={() => onPutIn(item.where)}
      >
        {item.after}
      </button>
    );
  if (item.part !== undefined) return <PartControl item={item} part={item.part} />;
  if (item.id === "supply.rectifier.seriesOhms") return <SeriesField item={item} />;
  return <strong>{thin(item.after)}</strong>;
}

const SIZES = {
  watts: [0.25, 0.5, 0.6, 1, 2, 3, 5, 7, 10],
  volts: [16, 25, 35, 50, 63, 100, 160, 200, 250, 350, 400, 450, 500, 630],
} as const;

function PartControl({
  item,
  part: { instances, partId, field },
}: {
  item: ReworkItem;
  part: NonNullable<ReworkItem["part"]>;
}) {
  const document = useDocument();
  const kept = useSession((session) => session.book.value);
  const hands = useHands();
  const part = partOf(document, instances[0] ?? "", partId);
  if (part === undefined) return <strong>{thin(item.after)}</strong>;
  const quantity = QUANTITY_OF[part.kind];
  if (field === "value" && quantity !== undefined && "value" in part)
    return (
      <ValueField
        label={`${item.where} ${item.what}`}
        hideLabel
        quantity={quantity}
        value={part.value}
        onHold={(value) => {
          const edit = partEdit(kept, instances, partId, { value });
          hands.hold(edit.title, edit.changes);
        }}
        onKeep={hands.keepHand}
        onDrop={hands.drop}
      />
    );
  if (field === "position" && part.kind === "potentiometer")
    return (
      <span className="rework-turn">
        <input
          type="range"
          min={0}
          max={1}
          step={0.01}
          value={part.position}
          aria-label={`${item.where} ${item.what}`}
          aria-valuetext={clockPosition(part.position)}
          onChange={(event) => {
            const edit = partEdit(kept, instances, partId, { position: Number(event.currentTarget.value) });
            hands.hold(edit.title, edit.changes);
          }}
          onPointerUp={hands.keepHand}
          onKeyUp={hands.keepHand}
          onBlur={hands.keepHand}
        />
        <strong>{clockPosition(part.position)}</strong>
      </span>
    );
  const rating =
    field === "watts" && "watts" in part ? part.watts : field === "volts" && "volts" in part ? part.volts : undefined;
  if ((field === "watts" || field === "volts") && rating !== undefined)
    return (
      <select
        className="field"
        aria-label={`${item.where} ${item.what}, rating`}
        value={rating}
        onChange={(event) => {
          const edit = partEdit(kept, instances, partId, { [field]: Number(event.currentTarget.value) });
          hands.keep(edit.title, edit.changes);
        }}
      >
        {[...new Set<number>([...SIZES[field], rating])]
          .toSorted((a, b) => a - b)
          .map((size) => (
            <option key={size} value={size}>{`${size}\u202f${field === "watts" ? "W" : "V"}`}</option>
          ))}
      </select>
    );
  return <strong>{thin(item.after)}</strong>;
}

/** The resistor in each plate lead of the rectifier; it stands in the supply, not in a block. */
function SeriesField({ item }: { item: ReworkItem }) {
  const document = useDocument();
  const kept = useSession((session) => session.book.value);
  const hands = useHands();
  const value = document.supply?.rectifier.seriesOhms;
  const before = kept.supply?.rectifier.seriesOhms;
  if (value === undefined) return <strong>{thin(item.after)}</strong>;
  return (
    <ValueField
      label="Resistor in each plate lead"
      hideLabel
      quantity="resistance"
      value={value}
      onHold={(after) =>
        hands.hold(`plate leads ${before ?? "none"} → ${after}`, [
          { target: "supply.rectifier.seriesOhms", ...(before === undefined ? {} : { before }), after },
        ])
      }
      onKeep={hands.keepHand}
      onDrop={hands.drop}
    />
  );
}
