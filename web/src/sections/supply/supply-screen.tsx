import { CAUTION_LINES, CAUTION_TITLE } from "@platewright/design";
import { useSession } from "../../state/use-session.ts";
import { Chain } from "./chain.tsx";
import { Conditions } from "./conditions.tsx";
import { Faults } from "./faults.tsx";
import { FirstPower, Heaters } from "./heaters.tsx";
import { Hum } from "./hum.tsx";
import { Loading, RectifierLimits } from "./loading.tsx";
import { OneCycle, SwitchOff, SwitchOn } from "./time.tsx";
import { SupplyFindings } from "./supply-findings.tsx";
import { Wishes } from "./wishes.tsx";
import "./supply.css";

export function SupplyScreen() {
  const has = useSession((session) => session.book.value.supply !== undefined);
  if (!has)
    return (
      <p className="waiting">
        This design has no supply of its own: its sources stand in the circuit. A transformer and a rectifier in its
        document bring this sheet to life.
      </p>
    );
  return (
    <div className="supply-sheet">
      <div className="supply-wide">
        <Chain />
        <Conditions />
        <SwitchOn />
        <OneCycle />
        <Faults />
        <FirstPower />
      </div>
      <div className="supply-narrow">
        <Loading />
        <RectifierLimits />
        <SupplyFindings />
        <Wishes />
        <SwitchOff />
        <aside className="caution" aria-label="Caution">
          <strong>{CAUTION_TITLE}</strong>
          {CAUTION_LINES.map((line) => (
            <p key={line}>{line}</p>
          ))}
        </aside>
        <Hum />
        <Heaters />
      </div>
    </div>
  );
}
