export { type Axis, axisOver, printQuantity, type Tick, ticksOf } from "./axis.ts";
export type {
  FigureSpec,
  LegendEntry,
  MarkShape,
  PanelSpec,
  PanelsSpec,
  PlotArea,
  PlotBand,
  PlotLimit,
  PlotLine,
  PlotMark,
  PlotRegion,
  PlotSpec,
  Side,
} from "./spec.ts";
export { pointOf, valueAt } from "./pointing.ts";
