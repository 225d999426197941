import { printValue } from "@platewright/engine";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useHands } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";

export function ReworkScreen() {
  const { value: differences, failure } = useAnswer("differences", {});
  const { value: findings } = useAnswer("findings", {});
  const hands = useHands();
  return (
    <>
      <section aria-labelledby="rework-against">
        <SectionHead id="rework-against" title="Against the proven unit" />
        {failure !== undefined && <p>{failure}</p>}
        <table>
          <tbody>
            {(differences ?? []).map((row) => (
              <tr key={row.id}>
                <td>{row.label}</td>
                <td className="number">{row.proven === null ? "–" : printValue(row.proven, row.unit, 3)}</td>
                <td className="number">{row.now === null ? "–" : printValue(row.now, row.unit, 3)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <section aria-labelledby="rework-findings">
        <SectionHead id="rework-findings" title="Findings" />
        <ul>
          {(findings ?? []).map((one) => (
            <li key={one.id}>
              <LevelSign level={one.level} /> {one.title}
              {one.fixes.map((fix) => (
                <button
                  key={fix.title}
                  type="button"
                  className="button"
                  onClick={() => hands.keep(fix.title, fix.changes)}
                >
                  {fix.title}
                </button>
              ))}
            </li>
          ))}
        </ul>
      </section>
    </>
  );
}
