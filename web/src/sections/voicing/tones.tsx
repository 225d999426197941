import { printDecibels, printPercent, printValue } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAnswer } from "../../worker/use-answer.ts";
import type { At } from "./voicing-screen.tsx";

/** Intermodulation at this level, now and proven: what two tones make of each other. */
export function Tones({ at, inputVolts }: { at: At; inputVolts: number }) {
  const { value, failure, fresh } = useAnswer("voicingTones", { ...at, inputVolts });
  const rows =
    value === undefined
      ? []
      : [
          { name: "60 Hz + 7 kHz, 4 : 1", now: value.now.modulation?.ratio, was: value.was?.modulation?.ratio },
          { name: "of it second order", now: value.now.modulation?.byOrder[0], was: value.was?.modulation?.byOrder[0] },
          { name: "19 + 20 kHz", now: value.now.difference?.ratio, was: value.was?.difference?.ratio },
          { name: "of it 1 kHz", now: value.now.difference?.second, was: value.was?.difference?.second },
        ];
  return (
    <section aria-labelledby="voicing-tones">
      <SectionHead
        id="voicing-tones"
        title="Two tones"
        end={fresh || value === undefined ? `peaks as ${printValue(inputVolts, "V")} rms does` : "solving…"}
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      {value === undefined && failure === undefined && <p className="voicing-note">Solving…</p>}
      {value !== undefined && (
        <table>
          <thead>
            <tr>
              <th scope="col">
                <span className="unseen">Figure</span>
              </th>
              <th scope="col" className="number">
                Now
              </th>
              <th scope="col" className="number">
                Proven
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <tr key={row.name}>
                <th scope="row">{row.name}</th>
                <td className="number">
                  <b>{row.now === undefined ? "–" : printPercent(row.now)}</b>
                </td>
                <td className="number muted">{row.was === undefined ? "–" : printPercent(row.was)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {value !== undefined && !value.now.settled && (
        <p className="voicing-note">
          Clipped: orders above the eighth are left out, what was left stands {printDecibels(value.now.tailDecibels, 0)}{" "}
          below.
        </p>
      )}
      <p className="voicing-note">
        Sums of products over the upper tone (60 Hz + 7 kHz), over twice the upper tone (19 + 20 kHz).
      </p>
    </section>
  );
}
