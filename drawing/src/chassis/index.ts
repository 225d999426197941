export { cornersOf, outlineItem } from "./outline-items.ts";
export { type PlateDrawing, plateDrawing } from "./plate-drawing.ts";
export type { PlateGap, PlateLook, PlateWire } from "./plate-look.ts";
export { type PlateFace, type PlateMap, plateMap } from "./plate-map.ts";
export {
  itemHeights,
  type ItemHeight,
  type SideDrawing,
  sideDrawing,
  type SideFrom,
  type SideLook,
} from "./side-drawing.ts";
export { carrierDrawing, type CarrierLook, openedDrawing, plugDrawing } from "./carrier-drawing.ts";
export { carrierSection, type SmallDrawing } from "./carrier-section.ts";
export { salvageDrawing } from "./salvage-drawing.ts";
export { betterTurn, turnsPicture, type TurnsLook } from "./turns-picture.ts";
export { gapArrow } from "./gap-arrow.ts";
export { plateWires, WIRE_WORDS } from "./plate-wires.ts";
