import type { FootprintKind } from "@platewright/engine";
import { useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { StatusMark } from "../shelf/status-mark.tsx";
import { Asking, PickField } from "./fields.tsx";
import { FITTINGS, FOOTPRINT_KINDS } from "./kind-words.ts";
import { MeasureForm } from "./measure-form.tsx";
import type { FootprintRow } from "./part-rows.ts";
import { roundPart } from "./own-footprint.ts";
import type { PanelProps } from "./panel.ts";
import { PlaceForm } from "./place-form.tsx";
import { useChosenHole } from "./use-chosen-hole.ts";

const NONE = {};

interface Measuring {
  /** Of the library or of the builder; undefined: a new round part. */
  readonly id: string | undefined;
  readonly item: string | undefined;
}

/** Parts by kind with where their sizes come from; fittings are placed here, parts in hand measured. */
export function AddPart({ chosen, onChoose }: PanelProps) {
  const told = useAnswer("chassisParts", NONE);
  const { hole } = useChosenHole(chosen);
  const chassis = useSession((session) => session.book.value.chassis);
  const [picked, setPicked] = useState<FootprintKind>();
  const [placing, setPlacing] = useState<string>();
  const [measuring, setMeasuring] = useState<Measuring>();
  const rows = told.value?.footprints ?? [];
  const item = chassis?.items.find((one) => one.id === chosen?.item);
  const print = rows.find((one) => one.id === item?.footprint);
  const kind = picked ?? print?.kind ?? "lamp";
  const some = rows.filter((one) => one.kind === kind);
  const placed = some.find((one) => one.id === placing);
  if (chassis === undefined) return <p className="metal-note">Begin a plate first.</p>;
  if (measuring !== undefined)
    return <Measured measuring={measuring} kind={kind} onEnd={() => setMeasuring(undefined)} />;
  return (
    <section className="metal-parts" aria-labelledby="metal-parts">
      <SectionHead
        id="metal-parts"
        title="Parts"
        note={FITTINGS.has(kind) ? "" : "those of the circuit wait beside the plate"}
        end={
          <button
            type="button"
            className="button no-print"
            onClick={() => setMeasuring({ id: undefined, item: undefined })}
          >
            A part of your own
          </button>
        }
      />
      {item !== undefined && print !== undefined && (
        <div className="metal-chosen">
          <span>
            <b>{item.label ?? item.id}</b> {print.label}; {sourceWords(print)}
            {item.measured === true ? ", ticked as measured" : ""}
          </span>
          <button
            type="button"
            className="button no-print"
            onClick={() => setMeasuring({ id: print.id, item: item.id })}
          >
            Measure it
          </button>
        </div>
      )}
      <PickField
        label="Kind"
        value={kind}
        options={FOOTPRINT_KINDS}
        onPick={(next) => {
          setPicked(next);
          setPlacing(undefined);
        }}
      />
      <Asking told={told} what="looking up footprints…" />
      <ul className="metal-prints">
        {some.map((one) => (
          <li key={one.id} className="metal-print">
            <div className="metal-print-words">
              <b>{one.label}</b>
              <span>{one.holes}</span>
              <span className="metal-print-source">
                <StatusMark status={one.status} {...(one.confidence === null ? {} : { confidence: one.confidence })} />
                {one.own ? "your own measures" : one.source}
                {one.note === "" ? "" : `; ${one.note}`}
              </span>
            </div>
            <div className="metal-print-buttons no-print">
              {FITTINGS.has(one.kind) && (
                <button
                  type="button"
                  className="button"
                  aria-expanded={placing === one.id}
                  aria-label={`Place ${one.label}`}
                  onClick={() => setPlacing(placing === one.id ? undefined : one.id)}
                >
                  Place
                </button>
              )}
              <button
                type="button"
                className="button"
                aria-label={`Measure ${one.label}`}
                onClick={() => setMeasuring({ id: one.id, item: undefined })}
              >
                Measure
              </button>
            </div>
            {placed === one && (
              <PlaceForm
                key={hole?.id ?? ""}
                print={one}
                hole={hole}
                items={chassis.items}
                onPlaced={(id) => {
                  setPlacing(undefined);
                  onChoose({ item: id });
                }}
              />
            )}
          </li>
        ))}
        {told.value !== undefined && some.length === 0 && (
          <li className="metal-note">The library has none; measure yours as a part of your own.</li>
        )}
      </ul>
    </section>
  );
}

const sourceWords = ({ own, status }: FootprintRow): string =>
  own ? "your own measures" : status === "memory" ? "sizes from memory: measure the part" : status;

function Measured({
  measuring: { id, item },
  kind,
  onEnd,
}: {
  measuring: Measuring;
  kind: FootprintKind;
  onEnd: () => void;
}) {
  if (id === undefined) return <NewPart kind={kind} onEnd={onEnd} />;
  return <KnownPart id={id} item={item} onEnd={onEnd} />;
}

function KnownPart({ id, item, onEnd }: { id: string; item: string | undefined; onEnd: () => void }) {
  const told = useAnswer("chassisFootprint", { id });
  return told.value === undefined ? (
    <Asking told={told} what="looking up its sizes…" />
  ) : (
    <MeasureForm key={id} print={told.value} item={item} isNew={false} onEnd={onEnd} />
  );
}

function NewPart({ kind, onEnd }: { kind: FootprintKind; onEnd: () => void }) {
  const [of, setOf] = useState(kind);
  return (
    <>
      <PickField label="It is one of the" value={of} options={FOOTPRINT_KINDS} onPick={setOf} />
      <MeasureForm key={of} print={roundPart(of)} item={undefined} isNew onEnd={onEnd} />
    </>
  );
}
