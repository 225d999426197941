/** The work of the budgets that exists by now, with SciPy timed in the same run. Medians; code warm. Run by bench.ts. */
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { judgeDesign, readDesign, rework, solveDesign, solveConditions } from "@platewright/design";
import {
  compile,
  harmonicProblem,
  hertz,
  type RectifierProblem,
  revalue,
  solveBias,
  solveHarmonics,
  solveRectifier,
  solveResponse,
  volts,
} from "@platewright/engine";
import { openCatalogue } from "@platewright/library";
import { channel } from "./channel.ts";

interface Row {
  readonly work: string;
  readonly seconds: number;
  readonly peer?: number;
  readonly prototype: string;
  readonly goal: string;
}

function median(work: () => unknown, milliseconds = 400): number {
  const spent: number[] = [];
  const until = performance.now() + milliseconds;
  // The first half warms the code.
  while (performance.now() < until || spent.length < 3) {
    const start = performance.now();
    work();
    spent.push((performance.now() - start) / 1000);
  }
  const kept = spent.slice(spent.length >> 1).sort((a, b) => a - b);
  return kept[kept.length >> 1] as number;
}

const good = <T>(
  result: { readonly ok: true; readonly value: T } | { readonly ok: false; readonly failure: unknown },
): T => {
  if (!result.ok) throw new Error(JSON.stringify(result.failure));
  return result.value;
};

const python = ["/usr/bin/python3", "python3"].find((one) => spawnSync(one, ["-c", "import scipy"]).status === 0);
const timed = python === undefined ? undefined : spawnSync(python, ["benchmarks/peers.py"], { encoding: "utf8" });
const peers = timed?.status === 0 ? (JSON.parse(timed.stdout) as Record<string, number>) : {};
if (timed === undefined || timed.status !== 0)
  console.log("SciPy was not found or failed: no peers in this run.", timed?.stderr ?? "");

const rows: Row[] = [];
const add = (work: string, seconds: number, prototype: string, goal: string, peer?: string) =>
  rows.push({
    work,
    seconds,
    prototype,
    goal,
    ...(peer === undefined || peers[peer] === undefined ? {} : { peer: peers[peer] }),
  });

const circuit = good(compile(channel(0.5, false, false)));
const bias = good(solveBias(circuit));
add(
  "bias of a channel, cold",
  median(() => solveBias(circuit)),
  "4 µs",
  "level",
  "bias",
);
const edited = good(revalue(circuit, channel(0.5, false, false, 714)));
add(
  "bias of a channel, warm after an edit",
  median(() => solveBias(edited, { start: bias.unknowns })),
  "2 µs",
  "level",
  "bias",
);
const frequencies = Array.from({ length: 200 }, (_, i) => hertz(10 * 10 ** (i * 0.0216)));
add(
  "response, 200 frequencies",
  median(() => solveResponse(circuit, bias, { source: "signal", output: "out", hertz: frequencies })),
  "67 µs",
  "level",
  "response",
);

for (const [name, drive, gridA, gridB, prototype, goal] of [
  ["clean, drive at half", 0.5, false, false, "53–101 µs warm", "≤ 100 µs"],
  ["clipping, grid a", 1, true, false, "135–184 µs", "≤ 400 µs"],
  ["both grids", 1, true, true, "0.6 ms", "≤ 400 µs"],
] as const) {
  const made = good(compile(channel(drive, gridA, gridB)));
  const rest = good(solveBias(made));
  const problem = harmonicProblem(made, rest, { source: "signal", hertz: hertz(1000), output: "out" });
  const peak = (rms: number) => volts(rms * Math.SQRT2);
  for (const level of [1, 4]) {
    const near = good(solveHarmonics(problem, { sourceVoltsPeak: peak(level / 1.25), harmonics: 12 }));
    add(
      `harmonics, K = 12, ${name}, ${level} V, warm`,
      median(() => solveHarmonics(problem, { sourceVoltsPeak: peak(level), harmonics: 12, start: near.samples })),
      prototype,
      goal,
      drive === 0.5 && level === 1 ? "harmonics" : undefined,
    );
    add(
      `harmonics, K = 12, ${name}, ${level} V, from bias`,
      median(() => solveHarmonics(problem, { sourceVoltsPeak: peak(level), harmonics: 12 })),
      "134–305 µs",
      "",
    );
  }
  if (gridA)
    add(
      `clipped level raised to the tail rule, ${name}, 4 V`,
      median(() => solveHarmonics(problem, { sourceVoltsPeak: peak(4) })),
      "8–40 ms",
      "≤ 8 ms",
    );
}

const rectifier: RectifierProblem = {
  rmsVolts: 300,
  hertz: 50,
  seriesOhms: 215,
  firstFarads: 50e-6,
  circuit: "full-wave",
  law: { form: "power", K: 7.433e-4, p: 1.4878 },
  load: { amps: 0.06 },
};
const before = good(solveRectifier({ ...rectifier, load: { amps: 0.0588 } }));
add(
  "rectifier and first capacitor with slope, cold",
  median(() => solveRectifier(rectifier)),
  "60–88 µs",
  "level",
  "rectifier",
);
add(
  "rectifier and first capacitor with slope, warm",
  median(() => solveRectifier(rectifier, { start: before.start })),
  "46–67 µs",
  "level",
  "rectifier",
);

const catalogue = openCatalogue();
const file = good(readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8")));
const solved = good(solveDesign(file.now, catalogue));
const twelve = Array.from({ length: 12 }, (_, i) => 0.25 * 16 ** (i / 11));
const edit = (harmonicLimits: { readonly mostHarmonics?: number }) =>
  median(
    () => solveDesign(file.now, catalogue, { levels: twelve, detail: "levels", near: solved, harmonicLimits }),
    1500,
  );
add("whole design after one edit, nominal, 12 levels, K to 32", edit({ mostHarmonics: 32 }), "1.6–2.1 ms", "≤ 4 ms");
add("the same raised to the tail rule", edit({}), "10–14 ms", "");
add(
  "the same with corners and onsets",
  median(() => solveDesign(file.now, catalogue, { levels: twelve, near: solved }), 1500),
  "–",
  "",
);
add(
  "all supply conditions after that",
  median(() => solveConditions(file.now, catalogue, solved), 1500),
  "–",
  "≤ 30 ms",
);
add(
  "findings of all conditions",
  median(() => judgeDesign(file.now, catalogue, solved), 1500),
  "–",
  "",
);
const doubles = catalogue.types.filter(
  (type) => catalogue.tube(type)?.kind === "triode" && catalogue.tube(type)?.sections === 2,
);
/** Seconds of the board alone, from its first candidate to its last verdict. */
function board(): number {
  let first = Number.NaN;
  let last = Number.NaN;
  const answer = rework({
    proven: file.now,
    catalogue,
    goal: { kind: "keep-voicing" },
    judge: (document, nominal, how) => {
      const findings = judgeDesign(document, catalogue, nominal, how);
      if (how?.supply === false) last = performance.now();
      return findings;
    },
    types: doubles,
    put: new Map([["V1", "5687"]]),
    onCandidate: (_, done) => {
      if (done === 0) first = performance.now();
    },
  });
  good(answer);
  return (last - first) / 1000;
}
const cold = board();
const boards = Array.from({ length: 9 }, board)
  .slice(4)
  .sort((a, b) => a - b);
const candidates = `candidates: ${doubles.length} double triodes of the library with best values and findings`;
add(candidates, boards[boards.length >> 1] as number, "–", "≤ 250 ms");
add("the same the first time", cold, "–", "");

const time = (seconds: number): string =>
  seconds < 1e-3
    ? `${(seconds * 1e6).toFixed(seconds < 1e-5 ? 1 : 0)} µs`
    : seconds < 1
      ? `${(seconds * 1e3).toFixed(1)} ms`
      : `${seconds.toFixed(2)} s`;
console.log("| work | ours | SciPy, same run | ratio | prototype | goal |\n|---|---|---|---|---|---|");
for (const row of rows)
  console.log(
    `| ${row.work} | ${time(row.seconds)} | ${row.peer === undefined ? "" : time(row.peer)} | ${row.peer === undefined ? "" : `${(row.peer / row.seconds).toFixed(0)} ×`} | ${row.prototype} | ${row.goal} |`,
  );
