/** Writes the steps that the demo of a new shop begins with. */
import { writeFileSync } from "node:fs";
import { openCatalogue } from "@platewright/library";
import { demoFiles } from "../workshop/src/store/demo.ts";
import { demoMoves } from "../workshop/src/store/demo-rework.ts";

const { design, shelf } = demoFiles();
const moves = demoMoves(design, shelf, openCatalogue());
writeFileSync("workshop/src/store/demo-steps.json", `${JSON.stringify(moves, undefined, 1)}\n`);
console.log(`${moves.length} steps`);
