/** Makers' worked circuits with printed results: material for outside checks, used by no fit. */
import workedStageRows from "../data/worked-stages.json" with { type: "json" };
import type { DataProvenance } from "./data-format.ts";

/** A printed result. `quantity` carries the unit; the rest says under which condition it holds. */
export interface WorkedResult {
  readonly quantity: string;
  readonly value: number;
  readonly hertz?: number;
  readonly at?: string;
  readonly between?: string;
  readonly inputVoltsRms?: number;
  readonly inputVoltsPeak?: number;
  readonly outputVoltsRms?: number;
  readonly outputMilliwatts?: number;
  readonly gridVolts?: number;
  readonly output?: number;
}

export interface WorkedStage extends DataProvenance {
  readonly type: string;
  readonly stage: string;
  /** The maker's number of the condition. */
  readonly condition?: number;
  readonly where?: string;
  /** Values of the circuit, units in the names. */
  readonly circuit: Readonly<Record<string, number>>;
  readonly results: readonly WorkedResult[];
}

export const workedStages = workedStageRows as readonly unknown[] as readonly WorkedStage[];
