/** The fitted laws. Section 2 of a tube with unlike halves is stored under "6EM7/2". */
import type { LawRecord } from "@platewright/engine";
import { LAW_FILES } from "./law-files.ts";

export const fittedLaws = LAW_FILES.flat() as readonly LawRecord[];
