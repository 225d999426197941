export { type ChassisWords, chassisWords } from "./chassis-words.ts";
export type { Carrier, CarrierFixing, CarrierHole, CarrierKind, ScrewSeat } from "./carrier.ts";
export {
  type Arc,
  arcOf,
  contourArea,
  contourOf,
  contourPoints,
  type Corner,
  mirrored,
  QUARTER,
  withoutNothing,
} from "./contour.ts";
export {
  type Bounds,
  boundsGap,
  boundsOf,
  depthInside,
  gapBetween,
  grown,
  outlineOf,
  placed,
  placedOutline,
  type Pose,
  type Solid,
  solidOf,
  turned,
} from "./geometry.ts";
export {
  type DxfRefusal,
  type DxfHow,
  type DxfPlate,
  type DxfUnits,
  dxfChanges,
  importDxf,
} from "./dxf/import-dxf.ts";
export { CARRIER_WORDS, type ChassisHole, type ChassisHoles, type HoleWork, holesOf } from "./holes.ts";
export {
  type Face,
  footprintsOf,
  itemName,
  pinPlace,
  type PlacedBody,
  type PlacedItem,
  placeItems,
} from "./placed.ts";
export { bendsOf, plateOutline, plateWords, toEdges } from "./plate.ts";
export {
  carrierWords,
  onNewPlate,
  type SalvageAsk,
  type SalvageOption,
  salvageOptions,
  sizeWords,
} from "./salvage.ts";
export { chassisAfter } from "./tidy.ts";
export { chassisFindings } from "./chassis-findings.ts";
export { type ChassisAsk, type ChassisJudged, judgedChassis, pulledMillimetres, type TubeOnPlate } from "./context.ts";
export { airRise, type BoxHeat, boxHeat } from "./heat.ts";
export { type Rotation, rotationOf, type SocketWire, type Turn } from "./rotation.ts";
export { orderOfWork, threadOrNut, type ToolChoice, toolFor, tradeTrap, type WorkStep } from "./tools.ts";
export { type WireCheck, checkWords } from "./wire-checks.ts";
export type { Route } from "./wire-routes.ts";
export { type GroundBus, WIRE_RUN_WORDS, type WireRun, type WireRuns, wireRuns } from "./wire-runs.ts";
