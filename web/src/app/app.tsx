import { type ReactNode, Suspense, useCallback, useEffect, useState } from "react";
import { Choice } from "../parts/choice.tsx";
import { LevelSign } from "../parts/level.tsx";
import { type Around, AroundContext, useHands, useSession } from "../state/use-session.ts";
import type { Desk } from "../worker/desk.ts";
import { DeskContext, useAnswer } from "../worker/use-answer.ts";
import { DoDialog } from "./do-dialog.tsx";
import { KeysDialog } from "./keys-dialog.tsx";
import { usePlace } from "./place.ts";
import { ScreenEdge } from "./screen-edge.tsx";
import { SECTIONS, type Section } from "./sections.ts";
import { showTheme, useTheme } from "./theme.ts";
import { useCommands } from "./use-commands.ts";
import { useKeys } from "./use-keys.ts";

export function App({ around, desk }: { around: Around; desk: Desk }) {
  return (
    <AroundContext value={around}>
      <DeskContext value={desk}>
        <Shell />
      </DeskContext>
    </AroundContext>
  );
}

function Shell() {
  const place = usePlace();
  const section = SECTIONS.find((one) => one.id === place);
  const name = useSession((session) => session.book.value.name);
  const [open, setOpen] = useState<"do" | "keys">();
  const openDo = useCallback(() => setOpen("do"), []);
  const openKeys = useCallback(() => setOpen("keys"), []);
  const commands = useCommands(openKeys);
  useKeys(openDo, openKeys);
  useEffect(() => {
    document.title = `${section?.title ?? ""} · ${name} · Platewright`;
  }, [section, name]);
  if (section === undefined) return null;
  const Screen = section.screen;
  return (
    <div className="shell">
      <a className="button skip" href="#main" onClick={toMain}>
        To the sheet
      </a>
      <Rail here={section} />
      <div className="main">
        <Top onDo={openDo} />
        <NoticeStrip />
        <main id="main" className={`body body-${section.id}`} tabIndex={-1}>
          <ScreenEdge key={section.id}>
            <Suspense fallback={<p className="waiting">Laying out the sheet…</p>}>
              <Screen />
            </Suspense>
          </ScreenEdge>
        </main>
      </div>
      {open === "do" && (
        <DoDialog commands={commands} onClose={() => setOpen((was) => (was === "do" ? undefined : was))} />
      )}
      {open === "keys" && <KeysDialog onClose={() => setOpen(undefined)} />}
    </div>
  );
}

const toMain = (event: { preventDefault: () => void }) => {
  event.preventDefault();
  document.getElementById("main")?.focus();
};

function Rail({ here }: { here: Section }) {
  const theme = useTheme();
  const invented = useSession((session) => session.book.value.invented === true);
  const { value: findings } = useAnswer("findings", {});
  return (
    <nav className="rail" aria-label="Sections">
      <div className="mark">
        <svg viewBox="0 0 22 22" aria-hidden="true">
          <rect x="1" y="1" width="20" height="20" fill="none" stroke="currentColor" strokeWidth="2" />
          {SOCKET_PINS.map(([x, y]) => (
            <circle key={`${x} ${y}`} cx={x} cy={y} r="1.4" fill="currentColor" />
          ))}
        </svg>
        Platewright
      </div>
      <ol>
        {SECTIONS.map((section) => {
          const minded = section.minds === undefined ? [] : (findings ?? []).filter(section.minds);
          const stops = minded.filter((one) => one.level === "stop").length;
          const watches = minded.filter((one) => one.level === "watch").length;
          return (
            <li key={section.id} className={section.apart === true ? "apart" : undefined}>
              <a href={`#${section.id}`} aria-current={section === here ? "page" : undefined}>
                {section.title}
                {stops > 0 ? (
                  <LevelSign level="stop" count={stops} words="" />
                ) : watches > 0 ? (
                  <LevelSign level="watch" count={watches} words="" />
                ) : section.said !== undefined ? (
                  <Said of={section.said} />
                ) : null}
              </a>
            </li>
          );
        })}
      </ol>
      <div className="rail-foot">
        <Choice
          label="Light"
          options={[
            { value: "day", words: "Day" },
            { value: "night", words: "Night" },
          ]}
          value={theme}
          onChoose={(next) => showTheme(next)}
        />
        {invented && (
          <p>
            <strong>An invented design</strong>Figures are computed; the box is not real.
          </p>
        )}
      </div>
    </nav>
  );
}

function Said({ of }: { of: NonNullable<Section["said"]> }) {
  return <span className="rail-said">{useSession(of)}</span>;
}

/** A 7-pin socket in its plate, seen from below. */
const SOCKET_PINS = [
  [7.2, 14.8],
  [5.6, 10.6],
  [7.6, 6.8],
  [11.4, 5.4],
  [15.2, 7.2],
  [16.4, 11.2],
  [14.6, 15],
] as const;

function Top({ onDo }: { onDo: () => void }) {
  const name = useSession((session) => session.book.value.name);
  const proven = useSession((session) => session.design.proven);
  const line = useSession((session) => session.line.name);
  const hand = useSession((session) => session.hand);
  // The shelf has a history of its own: on its sheet these are its buttons.
  const book = usePlace() === "shelf" ? "shelf" : "book";
  const undo = useSession((session) => session[book].history.done.at(-1)?.title);
  const redo = useSession((session) => session[book].history.undone.at(-1)?.title);
  const hands = useHands();
  return (
    <header className="top">
      <h1>{name}</h1>
      <div className="revisions">
        {proven === undefined ? (
          <span>nothing pinned as proven</span>
        ) : (
          <>
            <span>
              Proven <b>{proven}</b>
            </span>
            <span aria-hidden="true">→</span>
          </>
        )}
        <span>
          {line === "Now" ? (
            <b>Now</b>
          ) : (
            <>
              Now <b>{line}</b>
            </>
          )}
        </span>
      </div>
      {hand !== undefined && (
        <div className="hand" role="status">
          <span>{hand.preview === true ? "Would do" : "In hand"}</span>
          <b>{hand.title}</b>
        </div>
      )}
      <div className="buttons">
        <button
          type="button"
          className="button"
          disabled={undo === undefined}
          title={undo}
          onClick={() => hands.undo(book)}
        >
          Undo
        </button>
        <button
          type="button"
          className="button"
          disabled={redo === undefined}
          title={redo}
          onClick={() => hands.redo(book)}
        >
          Redo
        </button>
        <button type="button" className="button" title="Ctrl K or /" onClick={onDo}>
          Do…
        </button>
      </div>
      <Tally />
    </header>
  );
}

function Tally(): ReactNode {
  const { value: findings, failure } = useAnswer("findings", {});
  const unsaved = useSession((session) => session.unsaved);
  const count = (level: string) => (findings ?? []).filter((one) => one.level === level).length;
  return (
    <div className="tally" aria-live="polite">
      {unsaved !== undefined && <LevelSign level="watch" words="not saved yet" />}
      {failure !== undefined ? (
        <LevelSign level="stop" words="not solved" />
      ) : findings === undefined ? (
        <span className="muted">solving…</span>
      ) : (
        (["stop", "watch", "ok"] as const).map((level) => {
          const many = count(level);
          return many === 0 ? null : <LevelSign key={level} level={level} words={`${many} ${level}`} />;
        })
      )}
    </div>
  );
}

function NoticeStrip() {
  const notice = useSession((session) => session.notice);
  const unsaved = useSession((session) => session.unsaved);
  const hands = useHands();
  const shown = notice ?? (unsaved === undefined ? undefined : { sentence: unsaved, level: "watch" as const });
  if (shown === undefined) return null;
  return (
    <div className="notice" role={shown.level === "stop" ? "alert" : "status"}>
      {shown.level !== "said" && <LevelSign level={shown.level} />}
      <p>{shown.sentence}</p>
      {"action" in shown && shown.action !== undefined && (
        <button type="button" className="button" onClick={shown.action.run}>
          {shown.action.words}
        </button>
      )}
      {notice !== undefined && (
        <button type="button" className="button quiet" onClick={() => hands.say(undefined)}>
          Close
        </button>
      )}
    </div>
  );
}
