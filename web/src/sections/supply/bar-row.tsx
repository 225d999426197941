import type { Level } from "@platewright/design";
import { LevelSign } from "../../parts/level.tsx";
import { LimitBar } from "../../parts/limit-bar.tsx";
import { printed } from "./words.ts";

export interface BarRowProps {
  readonly words: string;
  readonly value: number;
  readonly was?: number | null | undefined;
  readonly worst?: number | undefined;
  readonly limit: number | null;
  readonly unit: string;
  /** The value must stay below it, or above. */
  readonly sense?: "below" | "above" | "none";
  readonly level?: Level | undefined;
  readonly live: boolean;
  /** Condition and source, on focus and under the pointer. */
  readonly about: string;
}

/** One quantity against its limit: number, bar, level. Its condition and source stand in the line that opens with its name. */
export function BarRow({ words, value, was, worst, limit, unit, sense = "below", level, live, about }: BarRowProps) {
  const number = printed(value, unit);
  const bound = limit === null ? "" : `${sense === "above" ? "min" : "of"} ${printed(limit, unit)}`;
  const moves = was !== undefined && was !== null && Math.abs(was - value) > 0.002 * Math.abs(value);
  return (
    <tr className={level === undefined || level === "ok" ? undefined : "supply-heavy"}>
      <th scope="row">
        <details className="supply-about">
          <summary>{words}</summary>
          {about}
          {moves && ` Proven: ${printed(was, unit)}.`}
        </details>
      </th>
      <td className="number">
        <b className={live && moves ? "live" : undefined}>{number}</b> <span className="supply-of">{bound}</span>
      </td>
      <td className="supply-bar">
        {limit !== null && (
          <LimitBar
            now={value}
            {...(was === undefined || was === null ? {} : { proven: was })}
            {...(worst === undefined ? {} : { worst })}
            {...(sense === "above" ? { from: limit } : { to: limit })}
            live={live && moves}
            words={`${words}: ${number} ${bound}`}
          />
        )}
      </td>
      <td className="supply-level">{level !== undefined && <LevelSign level={level} />}</td>
    </tr>
  );
}
