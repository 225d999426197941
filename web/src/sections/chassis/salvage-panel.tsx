import type { Fix } from "@platewright/design";
import { useState } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { usePreview } from "../../state/use-preview.ts";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { useStored } from "../../state/use-stored.ts";
import { Asking, PlainNumber, Refused } from "./fields.tsx";
import type { Way } from "./metal-asks.ts";
import { decideAgain } from "./metal-edits.ts";
import type { PanelProps } from "./panel.ts";
import { casesOf, type SalvageCase } from "./salvage-cases.ts";
import { useChosenHole } from "./use-chosen-hole.ts";
import { useMetal } from "./use-metal.ts";
import { Uses } from "./uses.tsx";
import { WayDrawing } from "./way-drawing.tsx";

const NONE = {};
const USUAL_HOUR = 50;

/** What an hour costs in the builder's own prices, which the Pack section keeps. */
interface Rate {
  readonly perHour: number;
  readonly currency: string;
}

const isRate = (value: unknown): value is Rate =>
  typeof value === "object" &&
  value !== null &&
  "perHour" in value &&
  typeof value.perHour === "number" &&
  value.perHour > 0 &&
  "currency" in value &&
  typeof value.currency === "string";

export const WAY_WORDS: { readonly [W in Way["by"]]: string } = {
  keep: "kept as it is",
  "open-up": "opened up",
  "adapter-ring": "an adapter ring",
  "cover-plate": "a cover plate",
  "sub-plate": "a sub-plate",
  "blank-plug": "a plug",
  "other-use": "another use",
  "new-plate": "a new plate",
};
const VERBS: { readonly [W in Way["by"]]: string } = {
  keep: "Keep it",
  "open-up": "Open it up",
  "adapter-ring": "Fit the ring",
  "cover-plate": "Fit the plate",
  "sub-plate": "Fit the sub-plate",
  "blank-plug": "Plug it",
  "other-use": "Leave it for that",
  "new-plate": "Start a new plate",
};

/** Ways that have something to draw. */
const DRAWN: ReadonlySet<Way["by"]> = new Set(["open-up", "adapter-ring", "cover-plate", "sub-plate", "blank-plug"]);

/** What can be done about holes that are wrong or idle: every way with its work, its cost, its drawing; and what was decided. */
export function SalvagePanel({ chosen, onChoose }: PanelProps) {
  const told = useAnswer("chassisSalvage", NONE);
  const [prices] = useStored<Rate | undefined>("prices", undefined, isRate);
  const [typed, setTyped] = useState<number>();
  const hourly = typed ?? prices?.perHour ?? USUAL_HOUR;
  const [open, setOpen] = useState<string>();
  const cases = told.value ?? [];
  const { hole } = useChosenHole(chosen);
  const near = casesOf(cases, hole === undefined ? chosen : { ...chosen, hole: hole.id });
  const shown = near.length > 0 ? near : cases;
  const first = shown.find((one) => keyOf(one) === open) ?? shown.find((one) => one.level === "stop") ?? shown[0];
  const due = cases.filter((one) => one.level !== "ok").length;
  return (
    <section className="metal-salvage" aria-labelledby="metal-salvage" tabIndex={-1}>
      <SectionHead
        id="metal-salvage"
        title="Salvage"
        note={
          near.length > 0 && near.length < cases.length ? (
            <button type="button" className="button quiet" onClick={() => onChoose(undefined)}>
              show all {cases.length}
            </button>
          ) : due === 0 ? (
            ""
          ) : (
            `${due} hole${due === 1 ? "" : "s"} to decide about`
          )
        }
        end={
          <PlainNumber
            label="An hour costs"
            value={hourly}
            least={1}
            most={10_000}
            unit={prices?.currency ?? ""}
            onKeep={setTyped}
          />
        }
      />
      <Asking told={told} what="matching holes to parts…" />
      {told.value !== undefined && cases.length === 0 && (
        <p className="metal-note">Every hole that is there serves what stands over it.</p>
      )}
      <ul className="metal-cases">
        {shown.map((one) => (
          <Case
            key={keyOf(one)}
            one={one}
            open={one === first}
            hourly={hourly}
            onOpen={() => {
              setOpen(keyOf(one));
              onChoose({ hole: one.hole, ...(one.item === null ? {} : { item: one.item }) });
            }}
          />
        ))}
      </ul>
      <p className="metal-note">
        Minutes and money are rough, common practice of a shop with hand tools
        {prices === undefined ? "; money is the shop’s own" : `; an hour as in your prices, in ${prices.currency}`}.
      </p>
    </section>
  );
}

const keyOf = (one: SalvageCase): string => `${one.hole} ${one.item ?? ""}`;

function Case({ one, open, hourly, onOpen }: { one: SalvageCase; open: boolean; hourly: number; onOpen: () => void }) {
  const metal = useMetal();
  const [refused, setRefused] = useState<string>();
  return (
    <li className="metal-case">
      <div className="metal-case-head">
        <button type="button" className="metal-case-open" aria-expanded={open} onClick={onOpen}>
          <LevelSign level={one.level} words={one.level === "ok" ? "decided" : one.level} />
          <b>{one.title}</b>
          {(one.decided !== null || one.note !== "") && (
            <span className="metal-case-note">
              {[one.decided === null ? "" : WAY_WORDS[one.decided], one.note].filter(Boolean).join("; ")}
            </span>
          )}
        </button>
        {one.decided !== null && (
          <button
            type="button"
            className="button quiet no-print"
            onClick={() => setRefused(metal.keep((kept) => decideAgain(kept, one.hole)))}
          >
            Decide again
          </button>
        )}
      </div>
      <Refused words={refused} />
      {open && <Ways one={one} hourly={hourly} />}
    </li>
  );
}

function Ways({ one, hourly }: { one: SalvageCase; hourly: number }) {
  const told = useAnswer("chassisWays", { hole: one.hole, item: one.item, hourly });
  return (
    <>
      <Asking told={told} what="working out every way…" />
      <ul className="metal-ways">
        {(told.value ?? []).map((way, n) => (
          <WayRow
            key={way.by}
            way={way}
            item={one.item}
            decided={one.decided === way.by}
            first={n === 0 && one.decided === null}
          />
        ))}
      </ul>
    </>
  );
}

function WayRow({ way, item, decided, first }: { way: Way; item: string | null; decided: boolean; first: boolean }) {
  const looked = useSession((session) => session.hand?.preview === true && session.hand.title === way.fix?.title);
  return (
    <li className={`metal-way${way.obstacle === undefined ? "" : " metal-cannot"}${looked ? " metal-looked" : ""}`}>
      <div className="metal-way-words">
        <b>{way.title}</b>
        {way.obstacle === undefined ? <span>{way.words}</span> : <span>Cannot be: {way.obstacle}</span>}
        {way.obstacle === undefined && <span className="metal-cost">{costWords(way)}</span>}
      </div>
      {decided ? (
        <span className="metal-decided">decided</span>
      ) : (
        way.fix !== undefined && <FixButton fix={way.fix} words={VERBS[way.by]} first={first} />
      )}
      {way.by === "other-use" && <Uses way={way} />}
      {way.obstacle === undefined && DRAWN.has(way.by) && <WayDrawing way={way} item={item} />}
    </li>
  );
}

function costWords({ minutes, materialCost, cost }: Way): string {
  if (minutes === 0 && cost === 0) return "no work";
  const time = minutes < 90 ? `${Math.round(minutes)} min` : `${Number((minutes / 60).toFixed(1))} h`;
  return `about ${time}${materialCost > 0 ? `, material ${Math.round(materialCost)}` : ""}; ${Math.round(cost)} in all`;
}

function FixButton({ fix, words, first }: { fix: Fix; words: string; first: boolean }) {
  const preview = usePreview(fix.title, fix.changes);
  return (
    <button type="button" className={`button no-print${first ? " primary" : ""}`} {...preview}>
      {words}
    </button>
  );
}
