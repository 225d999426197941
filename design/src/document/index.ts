export * from "./change.ts";
export { chassisMeaning } from "./chassis-meaning.ts";
export type {
  Chassis,
  ChassisItem,
  ChassisPlate,
  ChassisTool,
  DocumentHole,
  OwnFootprint,
  SalvageChoice,
  SalvageWay,
} from "./chassis-schema.ts";
export * from "./expand.ts";
export * from "./expanded.ts";
export * from "./migrations.ts";
export * from "./parts.ts";
export { type PriceBook, priceBookOf, priceBookSchema, readPriceBook } from "./prices-file.ts";
export * from "./read.ts";
export * from "./revision.ts";
export * from "./schema.ts";
export * from "./set-part.ts";
