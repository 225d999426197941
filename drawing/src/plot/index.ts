export { type Axis, axisOver, printQuantity, type Tick, ticksOf } from "./axis.ts";
export type {
  FigureSpec,
  PanelSpec,
  PanelsSpec,
  PlotBand,
  PlotLimit,
  PlotLine,
  PlotMark,
  PlotSpec,
  Side,
} from "./spec.ts";
