import { useState } from "react";
import { useAround, useDocument, useSession } from "../../state/use-session.ts";
import { Compare, type State } from "./compare.tsx";
import { Done, Lines } from "./lines.tsx";
import { Newer } from "./newer.tsx";
import { Shop } from "./shop.tsx";
import { Timeline } from "./timeline.tsx";
import "./revisions.css";

export function RevisionsScreen() {
  const { workshop, hands } = useAround();
  const document = useDocument();
  const design = useSession((state) => state.design);
  const line = useSession((state) => state.line);
  const revisions = useSession((state) => state.revisions);
  const [others, setOthers] = useState<readonly State[]>([]);
  const [pair, setPair] = useState<readonly [string, string]>();

  const states: readonly State[] = [
    ...revisions.map(({ line: _line, seq: _seq, ...revision }) => ({
      id: revision.id,
      words: `${revision.id}${revision.id === design.proven ? ", proven" : ""}`,
      document: revision.document,
      revision,
    })),
    ...others.filter((one) => one.id !== `line ${line.key}`),
    { id: "now", words: line.name === "Now" ? "now" : `${line.name}, now`, document },
  ];
  const has = (id: string | undefined) => id !== undefined && states.some((one) => one.id === id);
  const first = has(pair?.[0]) ? (pair?.[0] ?? "now") : (design.proven ?? states[0]?.id ?? "now");
  const second = has(pair?.[1]) ? (pair?.[1] ?? "now") : "now";

  const compareLine = async (key: string) => {
    const open = await workshop.open(design.key, key);
    if (!open.ok) {
      hands.say({ level: "stop", sentence: open.failure.sentence });
      return;
    }
    const state = { id: `line ${key}`, words: open.value.line.name, document: open.value.document };
    setOthers((was) => [...was.filter((one) => one.id !== state.id), state]);
    setPair([state.id, "now"]);
  };
  return (
    <div className="revisions-sheet">
      <div className="revisions-column">
        <Timeline onCompare={(one, two) => setPair([one, two])} />
        <Lines onCompare={(key) => void compareLine(key)} />
        <Shop />
      </div>
      <div className="revisions-column">
        <Compare states={states} first={first} second={second} onChoose={(one, two) => setPair([one, two])} />
        <Newer />
        <Done />
      </div>
    </div>
  );
}
