export * from "./catalogue.ts";
export * from "./footprint.ts";
export * from "./law.ts";
export * from "./triode.ts";
export * from "./diode.ts";
export * from "./diode-series.ts";
export * from "./diode-chart.ts";
