import { useState } from "react";
import { useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { Chain } from "./chain.tsx";
import { Faults } from "./faults.tsx";
import { FirstPower } from "./first-power.tsx";
import { HeaterTable } from "./heaters.tsx";
import { Hum } from "./hum.tsx";
import { Iron } from "./iron.tsx";
import { Loading } from "./loading.tsx";
import { Nodes } from "./nodes.tsx";
import { OneCycle } from "./one-cycle.tsx";
import { Rectifier } from "./rectifier.tsx";
import { SwitchOff } from "./switch-off.tsx";
import { SwitchOn } from "./switch-on.tsx";
import { ToDecide } from "./to-decide.tsx";
import { toPlace } from "./to-place.ts";
import { Wishes } from "./wishes.tsx";
import { NO_SUPPLY } from "./words.ts";
import "./supply.css";

const NONE = {};

export function SupplyScreen() {
  const has = useSession((session) => session.book.value.supply !== undefined);
  if (!has)
    return (
      <p className="waiting">{NO_SUPPLY} A transformer and a rectifier in its document bring this sheet to life.</p>
    );
  return <Sheet />;
}

function Sheet() {
  const [condition, setCondition] = useState("nominal");
  const [chosen, setChosen] = useState<string>();
  const told = useAnswer("findings", NONE);
  const proven = useAnswer("provenFindings", NONE);
  const document = useDocument();
  const findings = told.value ?? [];
  return (
    <div className="supply-sheet">
      <Places />
      <Chain
        condition={condition}
        onCondition={setCondition}
        chosen={chosen}
        onChoose={setChosen}
        findings={findings}
      />
      <div className="supply-columns">
        <div className="supply-wide">
          <Nodes findings={findings} condition={condition} onCondition={setCondition} onChoose={setChosen} />
          <SwitchOn findings={findings} />
          <OneCycle />
          <HeaterTable findings={findings} />
        </div>
        <div className="supply-narrow">
          <ToDecide told={told} document={document} />
          <Rectifier findings={findings} proven={proven.value ?? []} />
          <Loading findings={findings} />
          <Wishes />
          <SwitchOff findings={findings} />
        </div>
      </div>
      <Faults />
      <div className="supply-halves">
        <Hum findings={findings} />
        <FirstPower />
      </div>
      <Iron findings={findings} />
    </div>
  );
}

const PLACES: readonly (readonly [string, string])[] = [
  ["supply-chain", "Chain"],
  ["supply-nodes", "Nodes"],
  ["supply-decide", "To decide"],
  ["supply-rectifier", "Rectifier"],
  ["supply-loading", "Loading"],
  ["supply-wishes", "Wished for"],
  ["supply-on", "Switch-on"],
  ["supply-off", "Switch-off"],
  ["supply-cycle", "One cycle"],
  ["supply-heaters", "Heaters"],
  ["supply-faults", "Single faults"],
  ["supply-hum", "Hum and noise"],
  ["supply-lamp", "First power"],
  ["supply-iron", "Transformer"],
];

/** What stands on this long sheet. The address names the section, so a press scrolls. */
function Places() {
  return (
    <nav className="supply-places no-print" aria-label="On this sheet">
      {PLACES.map(([id, words]) => (
        <a key={id} href={`#${id}`} onClick={(event) => toPlace(event, id)}>
          {words}
        </a>
      ))}
    </nav>
  );
}
