/** Every rule over a design solved in its conditions. Channels equal to an earlier one are judged once, and said so. */
import type { Finding } from "../findings.ts";
import { chokeFindings } from "./choke.ts";
import { gridFindings } from "./grids.ts";
import { heaterCathodeFindings, windingFindings } from "./heaters.ts";
import { levelRank } from "./judge.ts";
import type { Judged } from "./judged.ts";
import { knowledgeFindings } from "./knowledge.ts";
import { outputFindings } from "./output.ts";
import { partFindings } from "./parts.ts";
import { rectifierFindings } from "./rectifiers.ts";
import { regulatorFindings } from "./regulators.ts";
import { sectionFindings, togetherFinding } from "./sections.ts";
import { socketFindings } from "./sockets.ts";

/** Findings, worst first; within a level in the order of the rules. */
export function findingsOf(judged: Judged): readonly Finding[] {
  const { expanded, channels } = judged.nominal;
  const twins = new Set(expanded.equalTo.keys());
  const triodes = expanded.triodes.filter((triode) => !twins.has(triode.instance));
  const envelopes = [...new Set(triodes.map((triode) => triode.envelope))];
  const all = [
    ...socketFindings(judged),
    ...triodes.flatMap((triode) => sectionFindings(judged, triode)),
    ...envelopes.flatMap((envelope) => togetherFinding(judged, envelope)),
    ...triodes.flatMap((triode) => heaterCathodeFindings(judged, triode)),
    ...triodes.flatMap((triode) => gridFindings(judged, triode)),
    ...channels.filter((channel) => channel.sameAs === undefined).flatMap((channel) => outputFindings(judged, channel)),
    ...windingFindings(judged),
    ...rectifierFindings(judged),
    ...chokeFindings(judged),
    ...regulatorFindings(judged),
    ...partFindings(judged, twins),
    ...knowledgeFindings(judged, triodes),
  ];
  const channelWords = (channel: string | undefined): string | undefined => {
    if (channel === undefined) return undefined;
    const equal = [...expanded.equalTo].filter(([, first]) => first === channel).map(([twin]) => twin);
    return [channel, ...equal].join(", ");
  };
  return worstFirst(all).map((one) => {
    const channel = channelWords(one.channel);
    return channel === undefined ? one : { ...one, channel };
  });
}

/** Worst first; within a level as they came. */
export const worstFirst = (findings: readonly Finding[]): readonly Finding[] =>
  findings
    .map((one, index) => ({ one, index }))
    .sort((a, b) => levelRank(b.one.level) - levelRank(a.one.level) || a.index - b.index)
    .map(({ one }) => one);
