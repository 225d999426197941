export { type CarrierDrawing, carrierDrawings } from "./carriers.ts";
export {
  CUT_LAYERS,
  type CutContour,
  type CutDrawing,
  type CutFailure,
  type CutHole,
  type CutLayer,
  type CutLine,
  type CutNamed,
  type CutWords,
} from "./cut.ts";
export { cutDrawing, type CutLook } from "./cut-drawing.ts";
export { type FlatBend, flatPlate, K_FACTOR } from "./flat.ts";
export { cutArea, cutMass, DENSITY } from "./weight.ts";
