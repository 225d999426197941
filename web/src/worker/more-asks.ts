/** Questions of the other sections, fetched when the first of them is opened. Sections add theirs here. */
import { metalAsks } from "../sections/chassis/metal-asks.ts";
import { plateAsks } from "../sections/chassis/plate-asks.ts";
import { wireAsks } from "../sections/chassis/wire-asks.ts";
import { circuitAsks } from "../sections/circuit/asks.ts";
import { curvesAsks } from "../sections/curves/asks.ts";
import { packAsks } from "../sections/pack/asks.ts";
import { revisionsAsks } from "../sections/revisions/asks.ts";
import { shelfAsks } from "../sections/shelf/asks.ts";
import { supplyAsks } from "../sections/supply/asks.ts";
import { voicingAsks } from "../sections/voicing/asks.ts";

export const MORE_ASKS = {
  ...circuitAsks,
  ...metalAsks,
  ...plateAsks,
  ...wireAsks,
  ...curvesAsks,
  ...packAsks,
  ...revisionsAsks,
  ...shelfAsks,
  ...supplyAsks,
  ...voicingAsks,
};
