import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useHands } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { SUPPLY_RULE } from "./rules.ts";

/** Those at stop or watch with something to do about them; the rest stand in the tables. */
export function SupplyFindings() {
  const { value: findings } = useAnswer("findings", {});
  const hands = useHands();
  const own = (findings ?? []).filter(({ rule }) => SUPPLY_RULE.test(rule));
  const open = own.filter((one) => one.level === "stop" || (one.level === "watch" && one.fixes.length > 0));
  return (
    <section aria-labelledby="supply-findings">
      <SectionHead
        id="supply-findings"
        title="To decide"
        end={open.length === 0 ? "nothing open" : String(open.length)}
      />
      <ul className="supply-findings">
        {open.map((one) => (
          <li key={one.id}>
            <p>
              <LevelSign level={one.level} /> {one.title}
            </p>
            <p className="supply-note">
              {one.condition} · {one.source}
            </p>
            <div className="supply-fixes no-print">
              {one.fixes.map((fix) => (
                <button
                  key={fix.title}
                  type="button"
                  className="button"
                  onPointerEnter={() => hands.hold(fix.title, fix.changes, true)}
                  onPointerLeave={hands.drop}
                  onFocus={() => hands.hold(fix.title, fix.changes, true)}
                  onBlur={hands.drop}
                  onClick={() => hands.keep(fix.title, fix.changes)}
                >
                  {fix.title}
                </button>
              ))}
            </div>
          </li>
        ))}
      </ul>
    </section>
  );
}
