export { cornersOf, outlineItem } from "./outline-items.ts";
export { type PlateDrawing, plateDrawing } from "./plate-drawing.ts";
export type { PlateGap, PlateLook, PlateWire } from "./plate-look.ts";
export { type PlateFace, type PlateMap, plateMap } from "./plate-map.ts";
