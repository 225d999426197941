/** What is to be said of the transformer itself: not to be sold with, its VA, its tap, its high-tension current. */
import type { Finding } from "../findings.ts";
import type { ResolvedTransformer } from "./transformer-resolved.ts";
import type { CopperLoss } from "./transformer-loss.ts";

/** Habit: no more than this of the VA. Common practice. */
const HOUSE_VOLT_AMPS = 0.8;

const common = { where: "supply.transformer", fixes: [] } as const;

export function transformerFindings(resolved: ResolvedTransformer, loss?: CopperLoss): readonly Finding[] {
  const findings: Finding[] = [];
  if (resolved.knownBy === "unknown") {
    const [low, high] = resolved.ranges.ratedAmps;
    const last = resolved.notes[resolved.notes.length - 1] ?? "";
    findings.push({
      ...common,
      id: "transformer-unknown/supply.transformer",
      rule: "transformer-unknown",
      level: resolved.saleStop ? "stop" : "watch",
      title: resolved.saleStop
        ? last
        : `The rating rests on a load test of this specimen; estimates say ${(1000 * low).toFixed(0)} to ${(1000 * high).toFixed(0)} mA`,
      value: null,
      limit: null,
      unit: "",
      sense: "none",
      condition: "before sale",
      source: "estimates of common practice: docs/transformer.md",
    });
  }
  if (loss !== undefined) {
    const [share] = loss.ofRating;
    findings.push({
      ...common,
      id: "transformer-va/supply.transformer",
      rule: "transformer-va",
      level:
        !Number.isFinite(share) || share > 1
          ? "stop"
          : share > HOUSE_VOLT_AMPS || resolved.knownBy === "unknown"
            ? "watch"
            : "ok",
      title: `The transformer gives ${loss.voltAmps.toFixed(0)} VA, ${(100 * share).toFixed(0)} % of ${resolved.ranges.voltAmps[0].toFixed(0)} VA, and turns ${loss.watts.toFixed(1)} W into heat in its copper`,
      value: loss.voltAmps,
      limit: resolved.ranges.voltAmps[0],
      unit: "VA",
      sense: "below",
      condition: "running, mains nominal",
      source:
        resolved.transformer.ratedVoltAmps === undefined
          ? "VA from its windings, common practice"
          : "the transformer's rating",
    });
  }
  if (Math.abs(resolved.mainsOverTap - 1) > 0.05)
    findings.push({
      ...common,
      id: "transformer-tap/supply.transformer",
      rule: "transformer-tap",
      level: Math.abs(resolved.mainsOverTap - 1) > 0.1 ? "stop" : "watch",
      title: `The mains is ${(100 * resolved.mainsOverTap).toFixed(0)} % of the tap in use: every winding is off by as much`,
      value: resolved.mainsOverTap,
      limit: 1,
      unit: "",
      sense: "none",
      condition: "any",
      source: "common practice: within 5 %, never beyond 10 %",
    });
  return findings;
}
