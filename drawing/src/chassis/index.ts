export { cornersOf, outlineItem } from "./outline-items.ts";
export { type PlateDrawing, plateDrawing, type PlateLook } from "./plate-drawing.ts";
export { type PlateFace, type PlateMap, plateMap } from "./plate-map.ts";
