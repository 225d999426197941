import type { Document } from "@platewright/design";
import { withMoved } from "@platewright/drawing";
import { useCallback, useMemo, useRef, useState } from "react";
import { PIXELS_PER_MILLIMETRE } from "../../parts/scene-view.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { useKept } from "../../state/use-kept.ts";
import { useRemembered } from "../../state/use-remembered.ts";
import { Drawing, type Pointed, SHEET_MARGIN, sheetSize } from "./drawing.tsx";
import { Explain } from "./explain.tsx";
import { Inspector } from "./inspector.tsx";
import { Overview } from "./overview.tsx";
import { PartsTable } from "./parts-table.tsx";
import { type SheetChoice, sheetsOf } from "./sheets.ts";
import { Toolbar } from "./toolbar.tsx";
import { useView } from "./use-view.ts";
import { levelsSaid, levelWords, percentWords } from "./words.ts";
import "./circuit.css";

/** Widths are asked in steps: a window being dragged wider is not a new drawing at each pixel. */
const STEP_MILLIMETRES = 4;
const LEAST_MILLIMETRES = 120;
const NONE: readonly string[] = [];

export function CircuitScreen() {
  const kept = useSession((session) => session.book.value);
  const sheets = useMemo(() => sheetsOf(kept), [kept]);
  const [wanted, setWanted] = useRemembered<string>("circuit.sheet", "");
  const sheet = sheets.find(({ instances }) => instances.includes(wanted)) ?? sheets[0];
  if (sheet === undefined)
    return <p className="waiting">This design has no part to draw. The revisions may have one that has.</p>;
  return <Sheet key={sheet.instance} sheets={sheets} sheet={sheet} onSheet={setWanted} kept={kept} />;
}

function Sheet({
  sheets,
  sheet,
  onSheet,
  kept,
}: {
  sheets: readonly SheetChoice[];
  sheet: SheetChoice;
  onSheet: (instance: string) => void;
  kept: Document;
}) {
  const { instance } = sheet;
  const document = useDocument();
  const levels = kept.targets.voicingVolts;
  const [typed, setTyped] = useRemembered<number>("circuit.level", 0);
  const level = typed > 0 ? typed : (levels.find((volts) => volts >= 1) ?? levels.at(-1) ?? 1);
  const [chosen, setChosen] = useState<string>();
  const [pointed, setPointed] = useState<Pointed>();
  const [box, size] = useSize<HTMLDivElement>();
  const across = size.width / PIXELS_PER_MILLIMETRE - 2 * SHEET_MARGIN;
  const steps = Math.max(LEAST_MILLIMETRES, Math.floor(across / STEP_MILLIMETRES) * STEP_MILLIMETRES);
  const width = size.width > 0 ? steps : 0;
  const { value, failure } = useAnswer("circuitLayout", { instance, width });
  const layout = value ?? undefined;
  const answer = useAnswer("circuitFacts", { instance });
  const before = useKept(answer.value, answer.fresh);
  const inHand = useSession((session) => session.hand !== undefined);
  const facts = useMemo(
    () =>
      answer.value === undefined
        ? undefined
        : inHand
          ? withMoved(answer.value.facts, before?.facts)
          : answer.value.facts,
    [answer.value, before, inHand],
  );
  const { value: parts } = useAnswer("circuitParts", { instance });
  const view = useView(box, size, layout === undefined ? undefined : sheetSize(layout));
  const side = useRef<HTMLElement>(null);
  const named = useMemo(() => new Map(parts?.map((part) => [part.id, part])), [parts]);
  const words = useCallback(
    (id: string) => {
      const part = named.get(id);
      return part === undefined ? id : [part.part, part.value, part.role].filter(Boolean).join(", ");
    },
    [named],
  );
  const toSide = useCallback(() => {
    const first = (what: string) => side.current?.querySelector<HTMLElement>(what) ?? undefined;
    (first("input") ?? first("[role=slider]") ?? first("select") ?? first("button"))?.focus();
  }, []);
  const { larger, smaller, fit } = view;
  const onKey = useCallback(
    (key: string) => {
      if (key === "+" || key === "=") larger();
      else if (key === "-") smaller();
      else if (key === "0") fit();
      else if (key === "Escape" && !inHand) setChosen(undefined);
    },
    [larger, smaller, fit, inHand],
  );
  const found = named.get(chosen ?? "");
  const nets = useMemo(() => layout?.stations.map(({ net }) => net) ?? [], [layout]);
  const signal = useSignal(instance, level, sheet.isChannel ? nets : NONE, inHand);
  return (
    <div className="circuit-sheet">
      <section className="circuit-main" aria-label="Circuit">
        <Toolbar
          sheets={sheets}
          sheet={sheet}
          onSheet={onSheet}
          levels={levels}
          level={level}
          onLevel={setTyped}
          view={view}
        />
        <h2 className="circuit-print">Circuit, {sheet.words.toLowerCase()}</h2>
        <div ref={box} className="circuit-window">
          {failure !== undefined && <p role="status">{failure}</p>}
          {layout !== undefined && facts !== undefined && (
            <Drawing
              layout={layout}
              facts={facts}
              levels={signal.levels}
              factor={view.factor}
              chosen={chosen}
              words={words}
              onChoose={setChosen}
              onPoint={setPointed}
              onLeave={toSide}
              onKey={onKey}
            />
          )}
        </div>
        <p className="circuit-note">
          {answer.value?.failure ?? noteWords(sheet, answer.value?.condition ?? "", level, signal.h2)}
        </p>
        <Explain
          pointed={pointed ?? (chosen === undefined ? undefined : { part: chosen })}
          document={document}
          instance={instance}
          parts={parts}
          facts={facts}
          levels={signal.levels}
        />
        {parts !== undefined && <PartsTable parts={parts} chosen={chosen} onChoose={setChosen} />}
      </section>
      <aside ref={side} className="circuit-side" aria-label={found === undefined ? "Overview" : `Part ${found.part}`}>
        {found === undefined ? (
          <Overview sheet={sheet} level={level} onChoose={setChosen} />
        ) : (
          <Inspector key={found.id} facts={found} sheet={sheet} level={level} onClose={() => setChosen(undefined)} />
        )}
      </aside>
    </div>
  );
}

interface Signal {
  readonly levels: ReturnType<typeof levelsSaid> | undefined;
  readonly h2: string | undefined;
}

/** The signal at the stations of the way; nothing where there is none. */
function useSignal(instance: string, level: number, nets: readonly string[], inHand: boolean): Signal {
  const { value, fresh } = useAnswer("circuitSignal", { instance, levelVolts: level, nets });
  const before = useKept(value, fresh);
  return useMemo(
    () =>
      value === undefined || value === null
        ? { levels: undefined, h2: undefined }
        : {
            levels: levelsSaid(value.now, value.was, inHand ? before?.now : undefined),
            h2: percentWords(value.h2Ratio),
          },
    [value, before, inHand],
  );
}

function noteWords(sheet: SheetChoice, condition: string, level: number, h2: string | undefined): string {
  const twins = sheet.instances.length;
  const channels = twins > 1 ? `× ${twins} channels, drawn once. ` : "";
  const signal =
    h2 === undefined
      ? ""
      : ` Below: fundamental at 1 kHz, rms, with ${levelWords(level)} at the jack and the knobs as set; H2 at the output ${h2}.`;
  return `${channels}Volts to ground and plate currents, ${condition}. A bolt: above 60 V, dangerous to touch.${signal}`;
}
