import { SectionHead } from "../../parts/section-head.tsx";
import { useAnswer } from "../../worker/use-answer.ts";
import { Loads } from "./loads.tsx";
import type { SheetChoice } from "./sheets.ts";
import { Switches } from "./switches.tsx";
import { levelWords } from "./words.ts";

/** Nothing chosen: what matters most, how else the stages could be built, what the jacks are tied to. */
export function Overview({
  sheet,
  level,
  onChoose,
}: {
  sheet: SheetChoice;
  level: number;
  onChoose: (id: string) => void;
}) {
  return sheet.isChannel ? (
    <Channel sheet={sheet} level={level} onChoose={onChoose} />
  ) : (
    <p className="circuit-small">
      Press a part of the drawing, or choose one from the list: its value, what a step of it would move, and what it
      takes stand here. Conditions, time and faults are on <a href="#supply">Supply</a>.
    </p>
  );
}

function Channel({ sheet, level, onChoose }: { sheet: SheetChoice; level: number; onChoose: (id: string) => void }) {
  const { instance } = sheet;
  const { value: rows, failure } = useAnswer("circuitMatters", { instance, levelVolts: level });
  const { value: switches } = useAnswer("circuitSwitches", { instance });
  return (
    <>
      <section aria-labelledby="circuit-matters">
        <SectionHead id="circuit-matters" title="What a step moves most" note={`H2 at ${levelWords(level)}`} />
        {failure !== undefined && <p>{failure}</p>}
        <table className="circuit-steps">
          <thead>
            <tr>
              <th scope="col">Part</th>
              <th scope="col" className="number">
                H2
              </th>
              <th scope="col" className="number">
                Gain
              </th>
            </tr>
          </thead>
          <tbody>
            {(rows ?? []).map(({ id, part, step, instance: owner }) => (
              <tr key={id}>
                <th scope="row">
                  {owner === instance ? (
                    <button type="button" className="button quiet" onClick={() => onChoose(id)}>
                      {part}
                    </button>
                  ) : (
                    `${part}, supply`
                  )}{" "}
                  {step !== null && <span className="circuit-small">{stepWords(step)}</span>}
                </th>
                <td className="number">{decibels(step?.change.h2Decibels ?? null)}</td>
                <td className="number">{decibels(step?.change.gainDecibels ?? null)}</td>
              </tr>
            ))}
          </tbody>
        </table>
        <p className="circuit-small">To first order, both channels together. A chosen part’s steps are solved whole.</p>
      </section>
      {switches !== undefined && switches.length > 0 && (
        <section aria-labelledby="circuit-ways">
          <SectionHead id="circuit-ways" title="Ways to build it" />
          <Switches switches={switches} />
        </section>
      )}
      <section aria-labelledby="circuit-outside">
        <SectionHead id="circuit-outside" title="At the jacks" />
        <Loads of="input" />
        <Loads of="output" />
      </section>
    </>
  );
}

function stepWords({
  edit,
  by,
}: {
  readonly edit?: { readonly value?: string; readonly position?: number };
  readonly by: string;
}): string {
  if (edit?.value !== undefined) return `to ${edit.value}`;
  return edit?.position === undefined ? `a ${by} up` : `to ${(10 * edit.position).toFixed(1)}`;
}

function decibels(value: number | null): string {
  if (value === null) return "–";
  const text = Math.abs(value).toFixed(1);
  return text === "0.0" ? "0\u202fdB" : `${value < 0 ? "−" : "+"}${text}\u202fdB`;
}
