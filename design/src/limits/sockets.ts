/** Findings of each socket: the type in it against the wires that are on its pins. */
import type { Finding } from "../findings.ts";
import { expandedWires } from "./wires.ts";
import { finding } from "./build.ts";
import { type Judged, netVolts, solvedIn } from "./judged.ts";
import { baseFor, checkSocket, movesWords } from "./pins.ts";
import { list } from "./say.ts";

export function socketFindings(judged: Judged): readonly Finding[] {
  const { document, catalogue, nominal } = judged;
  const windings = (document.supply?.transformer.heaters ?? []).map((w) => ({ id: w.id, volts: w.ratedVolts }));
  const cold = solvedIn(judged, "cold") ?? nominal;
  return document.envelopes.map((envelope) => {
    const record = catalogue.tube(envelope.type);
    const where = envelope.id;
    if (record === undefined)
      return finding({
        rule: "socket",
        where,
        level: "stop",
        title: `${where}: ${envelope.type} is not in the library, so its pins are not known`,
        condition: "any",
        source: "the library",
      });
    const answer = checkSocket({
      record,
      socket: envelope.socket,
      wiring: envelope.wiring,
      sections: expandedWires(document, nominal.expanded, envelope.id, baseFor(record, envelope.socket)),
      windings,
      // Cold volts: what a wire can bring when nothing draws.
      netVolts: (net) => netVolts(cold, net),
    });
    const wrong = answer.pins.filter((pin) => pin.level !== "ok" && pin.words !== "").map((pin) => pin.words);
    const words = [...wrong, ...(answer.heater.words === "" ? [] : [answer.heater.words])];
    const source = answer.base === undefined ? undefined : catalogue.source(answer.base.provenance.source)?.title;
    const title =
      answer.base === undefined
        ? `${where}: ${envelope.type} does not go into a ${envelope.socket} socket; it wants ${list(answer.sockets)}`
        : words.length === 0
          ? `${where}: every pin of the ${envelope.type} gets what it should`
          : `${where} wired as it is: ${words.join("; ")}`;
    const moves =
      answer.rewired === undefined || answer.moves.length === 0
        ? []
        : [
            {
              title: movesWords(answer.moves),
              changes: [{ target: `envelopes[${where}].wiring`, before: envelope.wiring, after: answer.rewired }],
            },
          ];
    return finding({
      rule: "socket",
      where,
      level: answer.level,
      title: moves.length > 0 && answer.level !== "ok" ? `${title}; ${moves[0]?.title ?? ""}` : title,
      condition: "as wired",
      source: source ?? "basing of the library",
      fixes: answer.level === "ok" ? [] : moves,
    });
  });
}
