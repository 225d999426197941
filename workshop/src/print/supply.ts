/** The supply's study in tables: nodes and parts by condition, rectifier, heaters, hum, time, first power, faults. */
import type { ConditionRow, SupplyStudy } from "@platewright/design";
import { printValue } from "@platewright/engine";
import { table, wrap } from "./table.ts";

/** Short heads of the conditions' columns. */
const HEADS: Readonly<Record<string, string>> = {
  "mains-low": "low",
  nominal: "nominal",
  "mains-high": "high",
  cold: "cold",
  "cold-mains-high": "cold high",
  pulled: "pulled",
  "lamp-no-tubes": "no tubes",
  "lamp-rectifier": "rectifier",
  "lamp-all": "all tubes",
};
const headOf = (row: ConditionRow): string => HEADS[row.condition.id] ?? row.condition.id.replace("without-", "no ");

/** As a meter shows it. */
const meter = (volts: number): string =>
  Math.abs(volts) >= 100 ? volts.toFixed(0) : Math.abs(volts) >= 10 ? volts.toFixed(1) : volts.toFixed(2);

/** Parts below this share of their rating in every condition are not printed. */
const QUIET = 0.4;

function netsToShow(study: SupplyStudy): readonly string[] {
  const nominal = study.solved.get("nominal");
  if (nominal === undefined) return [];
  const twins = new Set(nominal.expanded.equalTo.keys());
  const first = study.document.supply?.rectifier.output;
  const pins = nominal.expanded.triodes
    .filter((one) => !twins.has(one.instance))
    .flatMap((one) => [one.plate, one.cathode]);
  const shared = [...nominal.bias.netVolts.keys()].filter(
    (net) => net !== "0" && !nominal.expanded.channels.some((one) => net.startsWith(`${one.instance}.`)),
  );
  return [...new Set([...(first === undefined ? [] : [first]), ...shared, ...pins])];
}

export function printSupply(study: SupplyStudy, every: boolean): string {
  const plain = study.rows.filter((row) => !row.condition.id.startsWith("lamp-"));
  const lamp = study.rows.filter((row) => row.condition.id.startsWith("lamp-"));
  return [
    nodeTable("Volts to ground, as a meter reads them", study, plain),
    partTable(study, plain, every),
    transformerLines(study),
    rectifierLines(study),
    heaterTable(study),
    humLines(study),
    timeLines(study),
    nodeTable(
      `First power behind a lamp of ${lampWords(study)}: what the meter should read at each step`,
      study,
      lamp,
      study.lamp.map(
        (one) =>
          [
            headOf(lamp.find((row) => row.condition.id === one.step) ?? (lamp[0] as ConditionRow)),
            one.lampVolts,
          ] as const,
      ),
    ),
    faultTable(study),
  ]
    .filter((part) => part !== "")
    .join("\n\n");
}

function lampWords(study: SupplyStudy): string {
  const { supply } = study.document;
  return supply?.lamp === undefined ? "60 W" : printValue(supply.lamp.watts, "W");
}

function nodeTable(
  title: string,
  study: SupplyStudy,
  rows: readonly ConditionRow[],
  lamp: readonly (readonly [string, number])[] = [],
): string {
  if (rows.length === 0) return "";
  const columns = [{ title: "net" }, ...rows.map((row) => ({ title: headOf(row), align: "right" as const }))];
  const lines = netsToShow(study).map((net) => [net, ...rows.map((row) => meter(row.nodes[net]?.volts ?? Number.NaN))]);
  const mains = ["mains, W", ...rows.map((row) => row.mainsWatts.toFixed(0))];
  const across = lamp.length === 0 ? [] : [["the lamp, V", ...lamp.map(([, volts]) => meter(volts))]];
  return `${title}\n\n${table(columns, [...lines, mains, ...across])}`;
}

function partTable(study: SupplyStudy, rows: readonly ConditionRow[], every: boolean): string {
  const nominal = study.solved.get("nominal");
  const twins = new Set(nominal?.expanded.equalTo.keys() ?? []);
  const ids = [...new Set(rows.flatMap((row) => Object.keys(row.parts)))].filter(
    (id) => !twins.has(id.slice(0, id.indexOf("."))),
  );
  const share = (row: ConditionRow, id: string) => row.parts[id]?.fraction ?? 0;
  const worst = (id: string) => Math.max(...rows.map((row) => share(row, id)));
  const shown = ids.filter((id) => every || worst(id) >= QUIET).sort((a, b) => worst(b) - worst(a));
  const columns = [
    { title: "part" },
    { title: "rated", align: "right" as const },
    ...rows.map((row) => ({ title: headOf(row), align: "right" as const })),
  ];
  const lines = shown.map((id) => {
    const rated = rows.map((row) => row.parts[id]).find((one) => one !== undefined);
    return [
      id,
      rated === undefined
        ? ""
        : rated.unit === "VA"
          ? `${rated.limit.toFixed(0)} VA`
          : printValue(rated.limit, rated.unit),
      ...rows.map((row) => (row.parts[id] === undefined ? "" : `${Math.round(100 * share(row, id))} %`)),
    ];
  });
  const quiet = ids.length - shown.length;
  return `Parts, in % of their rating\n\n${table(columns, lines)}${quiet > 0 ? `\n${quiet} more stay under ${100 * QUIET} % everywhere.` : ""}`;
}

/** What is known of the transformer, and how far; a plain label that says all needs no lines. */
function transformerLines(study: SupplyStudy): string {
  const { transformer } = study;
  if (transformer === undefined || transformer.notes.length === 0) return "";
  const [low, high] = transformer.ranges.ratedAmps;
  const range = high > low * 1.01 ? [`High tension: ${printValue(low, "A")} to ${printValue(high, "A")} dc.`] : [];
  return ["Transformer", "", ...[...range, ...transformer.notes].map((note) => wrap(note, 98))].join("\n");
}

function rectifierLines(study: SupplyStudy): string {
  const solved = study.solved.get("nominal")?.supply;
  if (solved === undefined) return "";
  const { rectifier } = solved;
  const copper = study.copper;
  const rows = [
    ["dc at the first capacitor", `${meter(rectifier.dcVolts)} V at ${printValue(solved.loadAmps, "A")}`],
    ["ripple there, peak to peak", printValue(rectifier.ripplePeakToPeakVolts, "V", 2)],
    ["peak current per path", printValue(rectifier.platePeakAmps, "A")],
    ["rms current in the winding", printValue(rectifier.windingRmsAmps, "A")],
    ["ripple current of the first capacitor", printValue(rectifier.capacitorRmsAmps, "A")],
    ["peak inverse", `${meter(rectifier.peakInverseVolts)} V`],
    ["resistance in series with one path", printValue(solved.sourceOhmsPerPlate, "Ω")],
    ...(copper === undefined
      ? []
      : [
          [
            "copper loss of all windings",
            `${printValue(copper.watts, "W", 2)}, ${copper.voltAmps.toFixed(0)} VA in all`,
          ],
        ]),
    [
      "primary, mains high",
      `${printValue(study.mainsAmps, "A")} rms; a slow fuse of ${printValue(study.suggestedFuseAmps, "A")} suits`,
    ],
    ...(study.surgeAmps === undefined
      ? []
      : [["at most, into the empty first capacitor", `${printValue(study.surgeAmps, "A")} (hot restart, mains high)`]]),
  ];
  return `Rectifier and winding, mains nominal\n\n${table([{ title: "" }, { title: "" }], rows)}`;
}

function heaterTable(study: SupplyStudy): string {
  const conditions = ["mains-low", "nominal", "mains-high", "pulled"] as const;
  const solved = conditions.flatMap((id) => {
    const one = study.solved.get(id);
    return one === undefined ? [] : [one];
  });
  const [first] = solved;
  if (first === undefined || first.heaters.length === 0) return "";
  const nominalOf = (id: string) => study.solved.get("nominal")?.heaters.find((one) => one.winding === id);
  const rows = first.heaters.flatMap((winding) => [
    [
      winding.winding,
      printValue(nominalOf(winding.winding)?.amps ?? winding.amps, "A"),
      ...solved.map(
        (one) =>
          `${(one.heaters.find((other) => other.winding === winding.winding)?.volts ?? Number.NaN).toFixed(2)} V`,
      ),
    ],
    ...winding.envelopes.map((tube) => [
      `  ${tube.envelope}, wants ${tube.wantedVolts} V`,
      printValue(
        nominalOf(winding.winding)?.envelopes.find((one) => one.envelope === tube.envelope)?.amps ?? tube.amps,
        "A",
      ),
      ...solved.map((one) => {
        const here = one.heaters
          .find((other) => other.winding === winding.winding)
          ?.envelopes.find((other) => other.envelope === tube.envelope);
        return here === undefined ? "" : `${here.volts.toFixed(2)} V`;
      }),
    ]),
  ]);
  return `Heaters\n\n${table(
    [
      { title: "" },
      { title: "drawn", align: "right" },
      ...solved.map((one) => ({ title: HEADS[one.condition.id] ?? one.condition.id, align: "right" as const })),
    ],
    rows,
  )}`;
}

function humLines(study: SupplyStudy): string {
  const { hum } = study;
  if (hum === undefined) return "";
  const lines = hum.lines
    .filter((line) => line.dbv > -140)
    .map((line) => [
      line.channel,
      `${line.hertz.toFixed(0)} Hz`,
      `${line.dbv.toFixed(0)} dBV`,
      printValue(line.voltsRms, "V", 2),
      line.from === "ripple" ? "ripple of the supply" : "heaters, assumed leakage",
    ]);
  const twins = new Set(study.solved.get("nominal")?.expanded.equalTo.keys() ?? []);
  const once = (id: string) => !twins.has(id.slice(0, id.indexOf(".")));
  const ripple = hum.ripple
    .filter((one) => one.voltsRms > 1e-5 && once(one.net))
    .toSorted((a, b) => b.voltsRms - a.voltsRms)
    .map((one) => `${one.net} ${printValue(one.voltsRms, "V", 2)}`)
    .join(", ");
  const crosstalk = hum.crosstalk
    .map((one) => `${one.decibels.toFixed(0)} dB at ${printValue(one.hertz, "Hz")}`)
    .join(", ");
  const noise = [...hum.noise].map(
    ([channel, one]) =>
      `Noise of ${channel}: ${printValue(one.flat.output.voltsRms, "V", 2)} from 20 Hz to 20 kHz (${one.flat.output.dbv.toFixed(0)} dBV), A-weighted ${one.weighted.output.dbv.toFixed(0)} dBV; loudest ${one.shares[0]?.part ?? "none"}. A tube's own noise is assumed: 2.5 over its gm, rising below 1 kHz; specimens stray by some dB.`,
  );
  return [
    `Hum at the output, level at ${hum.setting.words} (gain ${hum.setting.gain.toFixed(2)})`,
    "",
    table(
      [
        { title: "channel" },
        { title: "line", align: "right" },
        { title: "level", align: "right" },
        { title: "rms", align: "right" },
        { title: "from" },
      ],
      lines,
    ),
    wrap(`Ripple, rms: ${ripple}.`, 98),
    wrap(
      `Ripple current: ${hum.capacitors
        .filter((one) => one.ampsRms > 1e-6 && once(one.part))
        .map((one) => `${one.part} ${printValue(one.ampsRms, "A", 2)}`)
        .join(", ")}.`,
      98,
    ),
    ...(crosstalk === "" ? [] : [wrap(`One channel in the other through the shared supply: ${crosstalk}.`, 98)]),
    ...noise.map((line) => wrap(line, 98)),
    wrap(
      `Assumed for the heaters: ${printValue(hum.assumptions.leakageOhms, "Ω")} and ${printValue(hum.assumptions.leakageFarads, "F")} to a cathode, ${printValue(hum.assumptions.strayFarads, "F")} to a grid, ${100 * hum.assumptions.balance} % unlike between the ends of the winding.`,
      98,
    ),
  ].join("\n");
}

function timeLines(study: SupplyStudy): string {
  const lines: string[] = [];
  const { startUp, discharge, dischargeHot } = study;
  if (startUp !== undefined) {
    const twins = new Set(study.solved.get("nominal")?.expanded.equalTo.keys() ?? []);
    const peaks = [...startUp.peaks]
      .filter(([net, peak]) => peak.volts > 100 && !twins.has(net.slice(0, net.indexOf("."))))
      .toSorted(([, a], [, b]) => b.volts - a.volts)
      .map(([net, peak]) => `${net} ${meter(peak.volts)} V at ${peak.seconds.toFixed(0)} s`)
      .join(", ");
    const warm =
      startUp.rectifierWarmUp === "at once"
        ? "silicon conducts at once"
        : `the rectifier warm after ${startUp.rectifierWarmUp.to} s`;
    lines.push(
      wrap(
        `Switched on with mains high, ${warm}, the signal tubes after ${startUp.tubesWarmUp.to} s (common practice for early and late): highest ${peaks}. The output jack moves by ${printValue(startUp.thumpVolts, "V", 2)}${dischargeHot === undefined ? "" : `, at switch-off by ${printValue(dischargeHot.thumpVolts, "V", 2)}`}.`,
        98,
      ),
    );
  }
  for (const one of [discharge, dischargeHot])
    if (one !== undefined)
      lines.push(
        wrap(
          `Discharge, ${one.words}: under 60 V after ${Number.isFinite(one.seconds) ? `${one.seconds.toFixed(0)} s` : "more than ten minutes"}, from ${meter(one.fromVolts)} V with ${printValue(one.joules, "J", 2)} and ${printValue(one.coulombs, "C", 2)} stored.`,
          98,
        ),
      );
  return lines.length === 0 ? "" : `On and off\n\n${lines.join("\n")}`;
}

function burnWords(burns: SupplyStudy["faults"][number]["burns"]): string {
  const [worst] = burns;
  if (worst === undefined) return "nothing";
  const more = burns.length > 1 ? `, ${burns.length - 1} more` : "";
  return `${worst.part.replace(" heater to cathode", " heater-cathode")} ${worst.times.toFixed(1)}×${more}`;
}

function faultTable(study: SupplyStudy): string {
  if (study.faults.length === 0) return "";
  const harmless = study.faults.filter(
    (one) => one.unsolved === undefined && one.burns.length === 0 && Math.abs(one.outputVolts) < 1,
  );
  const rows = study.faults
    .filter((one) => !harmless.includes(one))
    .map((one) => [
      one.fault.words,
      one.unsolved === undefined ? burnWords(one.burns) : "not solved",
      one.unsolved === undefined ? printValue(one.mainsAmps, "A", 2) : "",
      one.fuse,
      one.unsolved === undefined ? `${meter(one.outputVolts)} V` : "",
    ]);
  return `Single faults\n\n${table(
    [
      { title: "fault" },
      { title: "past its rating" },
      { title: "mains", align: "right" },
      { title: "fuse" },
      { title: "jack dc", align: "right" },
    ],
    rows,
  )}${harmless.length === 0 ? "" : `\n${wrap(`Nothing past its rating and nothing at the jack: ${harmless.map((one) => one.fault.words).join(", ")}.`, 98)}`}`;
}
