import { memo } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import type { PartFacts } from "./part-facts.ts";
import { percentWords, printed } from "./words.ts";

/** Every part of the sheet in the order of the signal, to choose from without the drawing. */
export const PartsTable = memo(function PartsTable({
  parts,
  chosen,
  onChoose,
}: {
  parts: readonly PartFacts[];
  chosen: string | undefined;
  onChoose: (id: string) => void;
}) {
  return (
    <section aria-labelledby="circuit-parts" className="circuit-parts">
      <SectionHead id="circuit-parts" title="Parts" end="load now, of rating" />
      <ul>
        {parts.map((part) => (
          <li key={part.id}>
            <button type="button" aria-pressed={part.id === chosen} onClick={() => onChoose(part.id)} title={part.does}>
              <b>{part.part}</b>
              <span className="circuit-part-role">{part.role}</span>
              <span className={part.was === null ? "circuit-part-value" : "circuit-part-value circuit-differs"}>
                {part.value ?? ""}
              </span>
              <span className="circuit-part-load">{loadWords(part)}</span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
});

function loadWords({ stress, rating }: PartFacts): string {
  if (stress === null) return rating ?? "";
  if (stress.limit === null) return printed(stress.value, stress.unit, 2);
  return `${printed(stress.value, stress.unit, 2)}, ${percentWords(stress.value / stress.limit)}`;
}
