import type { Shop as ShopCards } from "@platewright/workshop/client";
import { useEffect, useReducer, useState } from "react";
import { ChooseFile } from "../../parts/choose-file.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { openLine } from "../../state/sync.ts";
import { useAround, useSession } from "../../state/use-session.ts";

/** The designs of this shop, and what goes in and out of it as files. */
export function Shop() {
  const { session, workshop, hands, flush } = useAround();
  const design = useSession((state) => state.design);
  const [shop, setShop] = useState<ShopCards>();
  const [asked, askAgain] = useReducer((count: number) => count + 1, 0);
  // Read again when the design's card changes and when something was brought in.
  useEffect(() => {
    let gone = false;
    void workshop.shop().then((answer) => {
      if (!gone && answer.ok) setShop(answer.value);
    });
    return () => {
      gone = true;
    };
  }, [workshop, design, asked]);

  const bringIn = async (chosen: File) => {
    await flush();
    const answer = await workshop.bringIn(new Uint8Array(await chosen.arrayBuffer()));
    if (!answer.ok) {
      hands.say({ level: "stop", sentence: `${chosen.name}: ${answer.failure.sentence} Nothing was changed.` });
      return;
    }
    const words = answer.value.map(({ name, outcome }) => `${name} ${OUTCOMES[outcome]}`);
    const first = answer.value.find((one) => one.outcome !== "already-here");
    hands.say({
      level: "said",
      sentence: words.length === 0 ? `${chosen.name} held nothing new.` : `${words.join("; ")}.`,
      ...(first === undefined
        ? {}
        : {
            action: {
              words: `Open ${first.name}`,
              run: () => void openLine(session, workshop, first.design),
            },
          }),
    });
    askAgain();
  };
  const backUp = async () => {
    const done = await workshop.backUp();
    hands.say(
      done.ok
        ? { level: "said", sentence: `Backed up to ${done.value.file}.` }
        : { level: "stop", sentence: done.failure.sentence },
    );
  };
  return (
    <section aria-labelledby="revisions-shop">
      <SectionHead id="revisions-shop" title="The shop" end={shop === undefined ? "" : shop.file} />
      <ul className="revisions-list">
        {(shop?.designs ?? []).map((one) => (
          <li key={one.key}>
            <div className="revisions-name">
              <b>{one.name}</b>
              {one.key === design.key && <span className="revisions-proven">open</span>}
              {one.invented && <span className="muted">invented</span>}
              <span className="muted">
                {one.revisions.length} revision{one.revisions.length === 1 ? "" : "s"}
              </span>
            </div>
            <div className="revisions-do no-print">
              {one.key !== design.key && (
                <button
                  type="button"
                  className="button"
                  onClick={() => void flush().then(() => openLine(session, workshop, one.key))}
                >
                  Open
                </button>
              )}
              <a className="button" href={workshop.exportAddress(one.key)} download>
                Save as a file
              </a>
            </div>
          </li>
        ))}
      </ul>
      <div className="revisions-do no-print">
        <ChooseFile
          words="Bring in a file…"
          accept=".json,.zip,application/json,application/zip"
          onChoose={(chosen) => void bringIn(chosen)}
        />
        <a className="button" href={workshop.archiveAddress()} download>
          Save the whole shop
        </a>
        <button type="button" className="button" onClick={() => void backUp()}>
          Back up here
        </button>
      </div>
      {(shop?.troubles ?? []).map((sentence) => (
        <p key={sentence} role="alert">
          {sentence}
        </p>
      ))}
    </section>
  );
}

const OUTCOMES = {
  added: "was added",
  "added-beside": "was added beside the one of that name",
  "already-here": "is here already, just so",
} as const;
