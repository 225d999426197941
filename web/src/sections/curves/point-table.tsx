import { CAUTION_SHORT } from "@platewright/design";
import { digits, printPercent, printValue } from "@platewright/engine";
import { useState } from "react";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAnswer } from "../../worker/use-answer.ts";
import { decibels, limitWatts, spanWords, type StageAnswer, voltsWords, wattsWords } from "./words.ts";

interface Row {
  readonly name: string;
  readonly of: (stage: Seen) => string | undefined;
  readonly limit?: string | undefined;
  /** Where the limit or the band stands, said on focus. */
  readonly source?: string | undefined;
}

/** What is the same in the section as it stands and in the proven one. */
type Seen = Pick<StageAnswer, "point" | "dc" | "swing" | "gain" | "pins">;

/** The operating point in figures, against proven and the limits, and what a meter reads at the pins. */
export function PointTable({ stage, rest, held }: { stage: StageAnswer; rest: StageAnswer; held: boolean }) {
  const { value: open } = useAnswer("curvesOpen", { triode: stage.id, inputVolts: stage.swing?.inputVolts ?? 1 });
  const [told, setTold] = useState<string>();
  const { point, was, limits, swing, setBy } = stage;
  const watts = limits.plateWatts;
  const rows: readonly Row[] = [
    {
      name: "Plate to cathode",
      of: (one) => voltsWords(one.point.plateVolts),
      limit: limitWords(limits.plateVolts, voltsWords),
      source: limits.plateVolts?.source,
    },
    {
      name: "Plate current",
      of: (one) => printValue(one.point.plateAmps, "A"),
      limit: limitWords(limits.cathodeAmps, (amps) => printValue(amps, "A")),
      source: limits.cathodeAmps === null ? undefined : `cathode current: ${limits.cathodeAmps.source}`,
    },
    {
      name: watts === null ? "Dissipation" : `Dissipation, ${printPercent(point.watts / watts.value, 2)}`,
      of: (one) => wattsWords(one.point.watts),
      limit: limitWords(watts, limitWatts),
      source: watts?.source,
    },
    {
      name: `Swing at ${swing === null ? "level" : voltsWords(swing.inputVolts)}`,
      of: (one) => (one.swing === null ? undefined : spanWords(one.swing.lowPlateVolts, one.swing.highPlateVolts)),
      limit: swing === null ? undefined : `grid to ${voltsWords(swing.peakGridVolts)}`,
      source: "the highest the grid goes in the cycle",
    },
    {
      name: stage.role === "follower" ? "Gain to the cathode" : "Gain to the plate",
      of: (one) => (one.gain === null ? undefined : `${digits(decibels(one.gain), 3, false)} dB`),
      limit:
        open?.gainDecibels === null || open?.gainDecibels === undefined
          ? undefined
          : `±${digits(open.gainDecibels, 2)} dB`,
      source: "90 % of laws that fit the rows, and of bottles; from input to output jack",
    },
    ...stage.pins.flatMap(({ electrode, pin, volts }, n): readonly Row[] =>
      // A grid at ground has nothing to read.
      electrode === "grid" && Math.abs(volts) < 0.05
        ? []
        : [
            {
              name: `${ELECTRODES[electrode]}${pin === null ? "" : `, at pin ${pin}`}`,
              of: (one) => {
                const reading = one.pins[n];
                return reading === undefined ? undefined : voltsWords(reading.volts);
              },
              limit: pinMoved(stage, n),
              source: "what a meter reads to ground, no signal, nominal mains",
            },
          ],
    ),
  ];
  return (
    <section aria-labelledby="curves-point">
      <SectionHead
        id="curves-point"
        title="Operating point"
        note={<span className="no-print">drag it along its line, or arrow keys</span>}
      />
      <p className="curves-big">
        <b className={held && setBy?.ohms !== rest.setBy?.ohms ? "live cools" : "cools"}>
          {setBy === null ? "Not set by a resistor" : `${setBy.part} ${printValue(setBy.ohms, "Ω")}`}
        </b>
        <span className="muted">{bigWords(stage)}</span>
      </p>
      <table className="curves-point" onPointerLeave={() => setTold(undefined)}>
        <thead>
          <tr>
            <th scope="col">
              <span className="unseen">Quantity</span>
            </th>
            {["Now", "Proven", "Limit or band"].map((head) => (
              <th key={head} scope="col" className="number">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => {
            const now = row.of(stage);
            const said = row.source === undefined ? undefined : `${row.name}: ${row.source}`;
            return (
              <tr key={row.name} onPointerEnter={() => setTold(said)}>
                <th scope="row">{row.name}</th>
                <td className={`number cools${held && now !== row.of(rest) ? " live" : ""}`}>
                  <b>{now ?? "–"}</b>
                </td>
                <td className="number muted">{(was === null ? undefined : row.of(was)) ?? "–"}</td>
                <td className="number">
                  {row.limit !== undefined && said !== undefined ? (
                    <span
                      // A limit says its source on focus.
                      tabIndex={0}
                      aria-description={row.source}
                      onFocus={() => setTold(said)}
                      onBlur={() => setTold(undefined)}
                    >
                      {row.limit}
                    </span>
                  ) : (
                    row.limit
                  )}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
      <p className="curves-told">{told ?? CAUTION_SHORT}</p>
    </section>
  );
}

/** Where a pin's electrode is another pin than in the proven unit, the old one. */
function pinMoved({ pins, was }: StageAnswer, n: number): string | undefined {
  const [now, before] = [pins[n]?.pin, was?.pins[n]?.pin];
  return before === undefined || before === null || before === now ? undefined : `was pin ${before}`;
}

function bigWords({ point, setBy, was }: StageAnswer): string {
  if (setBy === null) return `fixed bias or a current sink gives ${printValue(point.plateAmps, "A")}`;
  const before = was?.setBy;
  const other = before !== null && before !== undefined && before.ohms !== setBy.ohms;
  return `gives ${printValue(point.plateAmps, "A")}${other ? `; was ${printValue(before.ohms, "Ω")}` : ""}`;
}

const ELECTRODES = { plate: "Plate", grid: "Grid", cathode: "Cathode" } as const;

const TRUST = { ok: "", "ok-from-memory": " memory", "watch-at-best": " unverified" } as const;

const limitWords = (
  limit: { readonly value: number; readonly trust: keyof typeof TRUST } | null,
  words: (value: number) => string,
): string => (limit === null ? "not known" : `${words(limit.value)}${TRUST[limit.trust]}`);
