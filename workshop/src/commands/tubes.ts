/** `platewright tubes`: find a type, show one with every source, or compare several. */
import { type Base, type Catalogue, digits, printValue, type Provenance, type TubeRecord } from "@platewright/engine";
import { compareTubes, findTubes, moveWords, pinMoves, roleWords } from "@platewright/library";
import { badInput, type Outcome } from "../outcome.ts";
import { table, wrap } from "../print/table.ts";

const WIDTH = 98;
const LIMITS = [
  ["plateVolts", "plate volts", "V"],
  ["coldPlateVolts", "plate volts cold", "V"],
  ["plateWatts", "dissipation each", "W"],
  ["plateWattsTogether", "dissipation both", "W"],
  ["cathodeAmps", "cathode current", "A"],
  ["cathodePositiveDcVolts", "cathode above heater, dc", "V"],
  ["cathodePositivePeakVolts", "cathode above heater, peak", "V"],
  ["cathodeNegativeDcVolts", "cathode below heater, dc", "V"],
  ["cathodeNegativePeakVolts", "cathode below heater, peak", "V"],
  ["gridOhmsFixedBias", "grid circuit, fixed bias", "Ω"],
  ["gridOhmsCathodeBias", "grid circuit, cathode bias", "Ω"],
] as const;

export function tubesCommand(words: readonly string[], catalogue: Catalogue): Outcome {
  const text = words.join(" ");
  const named = words.map((word) => catalogue.tube(word));
  if (words.length > 1 && named.every((one) => one !== undefined))
    return compare(words, named as readonly TubeRecord[], catalogue);
  const exact = words.length === 1 ? named[0] : undefined;
  if (exact !== undefined) return show(exact, catalogue);
  const found = findTubes(catalogue, text);
  if (found.length === 0) {
    const [near] = catalogue.near(words[0] ?? "");
    return badInput(
      `No tube fits '${text.slice(0, 60)}'${near === undefined ? "; try words like noval 6.3V mu20" : `; did you mean ${near}?`}`,
    );
  }
  const rows = found.map((tube) => {
    const point = tube.points.find((one) => one.reading === "table" && one.mu !== undefined) ?? tube.points[0];
    return [
      tube.type,
      tube.kind === "triode" ? (tube.sections === 2 ? "double triode" : "triode") : tube.kind,
      [...new Set(tube.bases.map((base) => `${base.socket} ${base.basing ?? ""}`.trim()))].join(", "),
      tube.heaters.map((heater) => `${heater.volts} V ${heater.amps} A`).join(" / "),
      point?.mu === undefined ? "" : `mu ${digits(point.mu, 3)}`,
      catalogue.law(tube.type) === undefined ? "" : (catalogue.law(tube.type)?.basis ?? ""),
    ];
  });
  return {
    exit: 0,
    json: {
      tubes: found.map((tube) => ({
        type: tube.type,
        kind: tube.kind,
        sections: tube.sections,
        sockets: [...new Set(tube.bases.map((b) => b.socket))],
        heaters: tube.heaters,
      })),
    },
    text: `${table([{ title: "type" }, { title: "kind" }, { title: "socket" }, { title: "heater" }, { title: "" }, { title: "law from" }], rows)}\n`,
  };
}

/** The best known basing with pins. */
const baseOf = (tube: TubeRecord): Base | undefined => tube.bases.find((base) => Object.keys(base.pins).length > 0);

const standing = (from: Provenance, catalogue: Catalogue): string =>
  `${from.status}${from.status === "memory" ? ` (${from.confidence ?? "unknown"})` : ""}, ${catalogue.source(from.source)?.title ?? from.source}`;

function show(tube: TubeRecord, catalogue: Catalogue): Outcome {
  const lines: string[] = [];
  const others = tube.equivalents.map((one) => `${one.name}${one.how === "same" ? "" : ` (${one.how})`}`);
  lines.push(
    `${tube.type}, ${tube.kind}${tube.sections === 2 ? ", two sections" : ""}${others.length > 0 ? `; also ${others.join(", ")}` : ""}`,
    "",
  );
  const base = baseOf(tube);
  if (base !== undefined)
    lines.push(
      wrap(
        `pins from below (${base.socket}${base.basing === undefined ? "" : ` ${base.basing}`}): ${Object.entries(
          base.pins,
        )
          .map(([pin, role]) => `${pin} ${roleWords(role)}`)
          .join(", ")}. ${standing(base.provenance, catalogue)}`,
        WIDTH,
        "  ",
      ),
    );
  for (const heater of tube.heaters)
    lines.push(
      wrap(
        `heater ${heater.volts} V ${heater.amps} A, ${heater.wiring}. ${standing(heater.provenance, catalogue)}`,
        WIDTH,
        "  ",
      ),
    );
  for (const one of tube.capacitances)
    lines.push(
      wrap(
        `capacitances: grid-plate ${printValue(one.gridPlateFarads, "F")}, grid-cathode ${printValue(one.gridCathodeFarads, "F")}, plate-cathode ${printValue(one.plateCathodeFarads, "F")}. ${standing(one.provenance, catalogue)}`,
        WIDTH,
        "  ",
      ),
    );
  const limits = LIMITS.flatMap(([name, label, unit]) => {
    const limit = catalogue.limit(tube.type, name);
    return limit === undefined ? [] : [{ name, label, unit, limit }];
  });
  if (limits.length > 0) {
    lines.push("", "limits in use (the lower of sources of one variant and system)");
    for (const { label, unit, limit } of limits) {
      const trust =
        limit.trust === "ok" ? "" : limit.trust === "ok-from-memory" ? ", from memory" : ", unverified: watch at best";
      const others =
        limit.disagreements.length === 0
          ? ""
          : `; others say ${limit.disagreements.map((one) => printValue(one.value, unit)).join(", ")}`;
      lines.push(
        wrap(
          `  ${label}: ${printValue(limit.value, unit)} (${limit.system}${trust}${others}). ${standing(limit.provenance, catalogue)}`,
          WIDTH,
          "      ",
        ),
      );
    }
  }
  const law = catalogue.law(tube.type);
  if (law !== undefined) {
    const open = law.parameters.filter((one) => !one.determined).map((one) => one.name);
    lines.push(
      "",
      wrap(
        `law from ${law.basis}: H2 to ±${law.h2BandDecibels.toFixed(1)} dB, H3 to ±${law.h3BandDecibels.toFixed(0)} dB; ${open.length === 0 ? "the data set every parameter" : `the data left open: ${open.join(", ")}`}. ${law.fittedBy}`,
        WIDTH,
        "  ",
      ),
    );
  }
  lines.push("", `${tube.points.length} published points, ${tube.coupledStages.length} stage rows`);
  for (const trap of tube.traps) lines.push(wrap(`note: ${trap}`, WIDTH, "  "));
  return {
    exit: 0,
    json: { tube, limits: limits.map(({ limit }) => limit), ...(law === undefined ? {} : { law }) },
    text: `${lines.join("\n")}\n`,
  };
}

function compare(words: readonly string[], tubes: readonly TubeRecord[], catalogue: Catalogue): Outcome {
  const compared = compareTubes(catalogue, words);
  const rows = compared.map((line) => [
    line.label,
    ...line.values.map((one) =>
      one === undefined
        ? "–"
        : `${printValue(one.value, line.unit === "Ohm" ? "Ω" : line.unit)}${one.condition === undefined ? "" : ` (${one.condition})`}`,
    ),
  ]);
  const [from, to] = [baseOf(tubes[0] as TubeRecord), baseOf(tubes[1] as TubeRecord)];
  const moves = from === undefined || to === undefined || from.socket !== to.socket ? undefined : pinMoves(from, to);
  const wires =
    moves === undefined
      ? `${words[0] ?? ""} and ${words[1] ?? ""} do not share a socket.`
      : moves.moves.length === 0
        ? "No wire moves from the first to the second."
        : `Wires to move from the first to the second, pins from below: ${moves.moves.map(moveWords).join(", ")}.`;
  return {
    exit: 0,
    json: { tubes: words, lines: compared, ...(moves === undefined ? {} : { moves: moves.moves }) },
    text: `${table([{ title: "" }, ...words.map((title) => ({ title }))], rows)}\n\n${wrap(wires, WIDTH)}\n`,
  };
}
