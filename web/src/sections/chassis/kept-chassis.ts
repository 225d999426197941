/** The chassis without what is in hand: worked out once for all that a hand tries. */
import { type ChassisJudged, judgedChassis } from "@platewright/design";
import { footprints } from "@platewright/library";
import type { Bench } from "../../worker/bench.ts";

export const NO_CHASSIS = "This design has no chassis yet.";

export const keptChassis = (bench: Bench): ChassisJudged | undefined =>
  bench.kept === bench.input.document
    ? bench.ofKept("chassis", bench.chassis)
    : bench.ofKept("chassis", () =>
        judgedChassis({ document: bench.kept, footprints, catalogue: bench.catalogue, fixes: false }),
      );
