import type { Level } from "@platewright/design";
import { LevelSign } from "../../parts/level.tsx";
import { LimitBar } from "../../parts/limit-bar.tsx";
import { percentWords, printed, thin } from "./words.ts";

export interface Asked {
  readonly id: string;
  readonly rule: string;
  readonly level: Level;
  readonly title: string;
  readonly value: number | null;
  readonly limit: number | null;
  readonly unit: string;
  readonly condition: string;
  readonly source: string;
}

const WORDS: Readonly<Record<string, string>> = {
  "resistor-watts": "Heat",
  "resistor-volts": "Volts across",
  "capacitor-volts": "Volts across",
  "capacitor-reversed": "Wrong way round",
};

/** What the part takes at worst against what it may take, with the condition and whose limit it is. */
export function Stress({ asked, live }: { asked: readonly Asked[]; live: boolean }) {
  if (asked.length === 0) return null;
  return (
    <ul className="circuit-stress" aria-label="Rating and stress">
      {asked.map(({ id, rule, level, value, limit, unit, condition, source }) => (
        <li key={id}>
          <span className="circuit-stress-head">
            <span>{WORDS[rule] ?? rule}</span>
            <b>
              {value === null ? "–" : printed(value, unit)}
              {limit === null || value === null ? "" : ` of ${printed(limit, unit)}, ${percentWords(value / limit)}`}
            </b>
            <LevelSign level={level} />
          </span>
          {value !== null && limit !== null && (
            <LimitBar now={value} to={limit} live={live} words={`${printed(value, unit)} of ${printed(limit, unit)}`} />
          )}
          <span className="circuit-small">{thin(`${condition}; ${source}`)}</span>
        </li>
      ))}
    </ul>
  );
}
