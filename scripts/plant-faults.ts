/**
 * Planted faults: one-token changes in laws, stamps and solves, one at a time on a copy of the tree, to see that the checks
 * bite. `npm run faults [count] [seed] [part of a file's name] [excluded]`; prints what was caught and what slipped through. The tree
 * itself is not touched.
 */
import { spawn, spawnSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { seededRandom } from "@platewright/engine";

const FILES = [
  "engine/src/tubes/triode.ts",
  "engine/src/tubes/diode.ts",
  "engine/src/circuit/compile.ts",
  "engine/src/circuit/nets.ts",
  "engine/src/solve/network.ts",
  "engine/src/solve/ports.ts",
  "engine/src/solve/bias.ts",
  "engine/src/solve/response.ts",
  "engine/src/solve/spectrum.ts",
  "engine/src/solve/levels.ts",
  "engine/src/solve/collocation.ts",
  "engine/src/solve/transform.ts",
  "engine/src/solve/harmonics-answer.ts",
  "engine/src/solve/harmonics.ts",
  "engine/src/solve/harmonics-newton.ts",
  "engine/src/solve/harmonics-step.ts",
  "engine/src/solve/harmonics-local.ts",
  "engine/src/numerics/exponentials.ts",
  "engine/src/solve/two-tone.ts",
  "engine/src/solve/sensitivity-bias.ts",
  "engine/src/solve/rectifier.ts",
  "engine/src/solve/rectifier-ideal.ts",
  "engine/src/solve/rectifier-pulse.ts",
  "engine/src/solve/rectifier-answer.ts",
  "engine/src/solve/rectifier-cycle.ts",
  "engine/src/solve/choke-input.ts",
  "engine/src/solve/transient-step.ts",
  "engine/src/solve/transient-ports.ts",
  "engine/src/solve/transient-modes.ts",
  "engine/src/solve/adjoint.ts",
  "engine/src/solve/noise.ts",
  "engine/src/solve/noise-sources.ts",
  "engine/src/solve/coupled-stage.ts",
];
const ROOMS = ["engine", "library", "design", "drawing", "checks", "workshop", "examples"];

/**
 * Left out: constants of step control and guards, of which no single value is the right one. Everything that enters an
 * answer, a Jacobian, a factor, a first guess or the order of the tubes is planted (the effort is under test as well).
 * Matched by file and by the text of its line, most of them by its numbers alone.
 */
const EQUIVALENT: readonly {
  readonly file: string;
  readonly line: RegExp;
  /** Only such a change of the line; every change when left out. */
  readonly change?: RegExp;
  /** Only the numbers of the line: its signs, comparisons and names are planted. */
  readonly numbers?: true;
  readonly why: string;
}[] = [
  {
    file: "harmonics-newton.ts",
    line: /TIRED|ROUNDING|NEWTON_LIMITS|share|LOCAL_SHARE|0\.2 \* fraction|fraction < 1e-3|< 0\.9|< 1e3/,
    numbers: true,
    why: "how exactly a step is solved, when factors count as stale, where a failing step is given up",
  },
  {
    file: "harmonics-step.ts",
    line: /GRID_JOINS|MOST_DIRECTIONS = |=== 0|< Infinity|reached: (0|Infinity)|length > 0/,
    why: "how many grid samples join a block; guards, what is empty is skipped",
  },
  { file: "harmonics-step.ts", line: /const second = /, change: /1 : 1/, why: "a diode's second slope is zero" },
  { file: "network.ts", line: /!== 0/, why: "what is zero is skipped, to save work" },
  ...["network.ts", "transient-modes.ts"].map((file) => ({
    file,
    line: /\* d(, (siemens|farads))?\)/,
    change: /\/ d[,)]/,
    why: "d is 1 or -1: times and over are one",
  })),
  {
    file: "bias.ts",
    line: /(gridStepVolts|plateStepVolts|steps): |_STEP = |JUNCTION_REST|ohms > 0|stride|halving|fraction \/= 2|< 1e3/,
    numbers: true,
    why: "how far one step may go, where a junction is taken to rest",
  },
  {
    file: "harmonics.ts",
    line: /LADDER|stride|ramps|K > most/,
    numbers: true,
    why: "rungs of K and strides of the continuation",
  },
  { file: "two-tone.ts", line: /stride|ramps/, numbers: true, why: "strides of the continuation" },
  { file: "harmonics.ts", line: /one\.harmonics > most/, why: "whose network factorings are taken over" },
  {
    file: "levels.ts",
    line: /> 8 \|\||tries|level \* 1\.5|harmonics: 24|1e-30|0\.05|< 1e-5|1e-9 \* high|1e-12 \* high/,
    numbers: true,
    why: "how a level is bracketed, and tolerances of a hundred-thousandth",
  },
  {
    file: "rectifier.ts",
    line: /_LIMITS|SCALES = |scale\)|1e-6|1e-12|fraction/,
    numbers: true,
    why: "numbers of steps, strides and tolerances below the answer's",
  },
  {
    file: "rectifier.ts",
    line: /\(n \+ 0\.5\)/,
    change: /\(n \+ 1\)/,
    why: "midpoints for ends: both rules are of one order",
  },
  {
    file: "rectifier-cycle.ts",
    line: /const stages = /,
    why: "how finely a settled pulse is drawn, at least 96 steps",
  },
  { file: "sensitivity-bias.ts", line: /w\.im\.fill/, why: "multiplied by volts that have no imaginary part" },
  { file: "exponentials.ts", line: /length: CELLS/, change: /CELLS \+ 2/, why: "room for a cell that nobody reads" },
  { file: "noise.ts", line: /densities: /, change: /: 4 \+|4 \* G/, why: "room for densities that nobody writes" },
  { file: "rectifier-pulse.ts", line: /MOST_STAGES = /, why: "steps that a junction's steepness may ask for" },
  {
    file: "two-tone.ts",
    line: /const ahead = /,
    change: /: 1;/,
    why: "on the first stride there is nothing to go on with",
  },
  {
    file: "harmonics.ts",
    line: /const ahead = /,
    change: /: 1;/,
    why: "on the first stride there is nothing to go on with",
  },
  ...["two-tone.ts", "harmonics.ts"].map((file) => ({ file, line: /let before = 0;/, why: "set before it is read" })),
  {
    file: "transient-modes.ts",
    line: /^const [A-Z_]+ = |sweep < 60|1e-15|1e-22/,
    change: /200;|2e-13;|2e-4;|1 - 0\.000002;|0\.0002;|< 120|2e-15|2e-22/,
    why: "shift and companions that fall out of the answer, tolerances at rounding",
  },
  { file: "coupled-stage.ts", line: /upToVolts = /, why: "how far a search goes when nobody says" },
  { file: "collocation.ts", line: /SILENT_AMPS/, why: "the current below which a grid is left out" },
  { file: "triode.ts", line: /-40|< 1e-6|< 700/, numbers: true, why: "where a tail below rounding is cut" },
  { file: "diode.ts", line: /LARGEST_EXPONENT/, numbers: true, why: "where overflow is kept off" },
  {
    file: "choke-input.ts",
    line: /const load = 1e-3 |const di = 1e-4 |0\.01 \* limits|const low = /,
    change: /0\.002 |0\.0002 |0\.000002|0\.02 |2e-12|1e-6 \/ peak/,
    why: "steps of differences of what is all but linear, a root's bracket and tolerance",
  },
  { file: "choke-input.ts", line: /0\.9 \* problem|let L = 1\.2/, why: "the guess of a fixed point" },
  {
    file: "rectifier-answer.ts",
    line: /best - 1, 0\.05|last - 0\.05|n < 12|at(Low|High) \/= 2/,
    change: /0\.1\)|n < 24|n = 1;|0\.00002|\/= 4/,
    why: "how the crest is searched for: the value errs as the square of the place",
  },
  { file: "transient-ports.ts", line: /MOST_ITERATIONS = /, why: "when a stage is given up" },
  { file: "compile.ts", line: /POT_END = |SINK_OHMS = /, why: "a millionth of a track, a gigohm" },
];

/** Milliseconds that a run may take: set from that of the clean copy, which has to end first. */
let longestRun = 600_000;

interface Fault {
  readonly file: string;
  readonly line: number;
  readonly from: string;
  readonly to: string;
  readonly before: string;
  readonly after: string;
}

const SWAPS: readonly (readonly [RegExp, (token: string) => string])[] = [
  [/ \+ /g, () => " - "],
  [/ - /g, () => " + "],
  [/ \* /g, () => " / "],
  [/ \/ /g, () => " * "],
  [/ < /g, () => " >= "],
  [/ > /g, () => " <= "],
  [/ <= /g, () => " > "],
  [/ >= /g, () => " < "],
  [/(?<![\w.])-(?=\()/g, () => "+"],
  // Not a number that is a type: 0 | 3.
  [
    /(?<![\w.\]]|\?\? "?|[^|]\| )\d+(\.\d+)?(e-?\d+)?(?![\w.]| \|[^|])/g,
    (token) => (token === "0" ? "1" : String(Number(token) * 2)),
  ],
  [/\bMath\.cos\b/g, () => "Math.sin"],
  [/\bMath\.sin\b/g, () => "Math.cos"],
  [/\bout\[1\]/g, () => "out[2]"],
  [/\bout\[2\]/g, () => "out[1]"],
  [/Real\b/g, () => "Imaginary"],
  [/\bplus\b(?=[,)])/g, () => "minus"],
];

function faultsOf(file: string, excluded: boolean): readonly Fault[] {
  const faults: Fault[] = [];
  let comment = false;
  for (const [i, line] of readFileSync(file, "utf8").split("\n").entries()) {
    const bare = line.trim();
    if (bare.startsWith("/*")) comment = true;
    const skipped =
      comment ||
      /^(import|export (interface|type)|\/\/|readonly|type|interface|\}|\||\*|throw|return fail|assert)/.test(bare);
    if (bare.endsWith("*/")) comment = false;
    if (skipped || /readonly |kind: "|`|new (Float64|Int32|Uint8)Array/.test(bare)) continue;
    const name = file.split("/").at(-1) as string;
    const equivalent = EQUIVALENT.filter((one) => one.file === name && one.line.test(line));
    const code = line.replace(/\/\/.*$/, "");
    for (const [pattern, swap] of SWAPS)
      for (const match of code.matchAll(pattern)) {
        const to = swap(match[0]);
        const after = line.slice(0, match.index) + to + line.slice(match.index + match[0].length);
        const left = equivalent.some(
          ({ change, numbers }) =>
            (change === undefined || change.test(after)) && (numbers !== true || /^\d/.test(match[0])),
        );
        if (left === excluded) faults.push({ file, line: i + 1, from: match[0], to, before: line, after });
      }
  }
  return faults;
}

/** Runs the engine's and the outside tests on the copy; a run that does not end is stopped with all its workers, and fails. */
const passes = (folder: string): Promise<boolean> =>
  new Promise((resolve) => {
    const vitest = join("node_modules", "vitest", "vitest.mjs");
    const run = spawn(process.execPath, [vitest, "run", "--bail=1", "engine", "checks"], {
      cwd: folder,
      stdio: "ignore",
      detached: true,
      env: { ...process.env, CI: "" },
    });
    const stop = setTimeout(() => {
      if (run.pid !== undefined) process.kill(-run.pid, "SIGKILL");
    }, longestRun);
    run.on("exit", (code) => {
      clearTimeout(stop);
      resolve(code === 0);
    });
  });

async function plant(folder: string, fault: Fault): Promise<"caught" | "missed"> {
  const path = join(folder, fault.file);
  const clean = readFileSync(path, "utf8");
  const lines = clean.split("\n");
  lines[fault.line - 1] = fault.after;
  writeFileSync(path, lines.join("\n"));
  const missed = await passes(folder);
  writeFileSync(path, clean);
  return missed ? "missed" : "caught";
}

const count = Number(process.argv[2] ?? 72);
const seed = Number(process.argv[3] ?? 1);
const random = seededRandom(seed);
const folder = mkdtempSync(join(tmpdir(), "platewright-faults-"));
for (const room of ROOMS)
  cpSync(room, join(folder, room), { recursive: true, filter: (path) => !path.includes("node_modules") });
for (const file of ["package.json", "tsconfig.json", "vitest.config.ts"]) cpSync(file, join(folder, file));
// The workspace links lead to the rooms of the copy, everything else to the installed packages.
cpSync("node_modules/@platewright", join(folder, "node_modules/@platewright"), {
  recursive: true,
  verbatimSymlinks: true,
});
for (const name of spawnSync("ls", ["-A", "node_modules"], { encoding: "utf8" }).stdout.split("\n"))
  if (name !== "" && name !== "@platewright")
    symlinkSync(join(process.cwd(), "node_modules", name), join(folder, "node_modules", name));

// A copy that fails without a fault would catch everything.
const begun = Date.now();
if (!(await passes(folder))) {
  rmSync(folder, { recursive: true, force: true });
  console.error("The tests fail on the copy before any fault is planted; nothing was counted.");
  process.exit(1);
}

longestRun = Math.max(90_000, 8 * (Date.now() - begun));

const only = process.argv[4] ?? "";
// "excluded" plants in what the list leaves out instead, to see what it hides.
const excluded = process.argv[5] === "excluded";
const pools = FILES.filter((file) => file.includes(only))
  .map((file) => faultsOf(file, excluded))
  .filter((pool) => pool.length > 0);
const planted = new Set<string>();
let caught = 0;
const missed: Fault[] = [];
for (let n = 0; n < count; n++) {
  const pool = pools[n % pools.length] as readonly Fault[];
  const fault = pool[Math.floor(random.uniform() * pool.length)] as Fault;
  const key = `${fault.file}:${fault.line} ${fault.after}`;
  if (planted.has(key)) continue;
  planted.add(key);
  const outcome = await plant(folder, fault);
  if (outcome === "caught") caught++;
  else missed.push(fault);
  console.log(`${outcome}  ${fault.file}:${fault.line}  ${fault.before.trim()}  →  ${fault.after.trim()}`);
}
rmSync(folder, { recursive: true, force: true });
const sites = (left: boolean) => FILES.reduce((sum, file) => sum + faultsOf(file, left).length, 0);
console.log(
  `\n${sites(false)} places, ${sites(true)} more left out; ${planted.size} planted, ${caught} caught (${((100 * caught) / planted.size).toFixed(1)} %), ${missed.length} missed; seed ${seed}`,
);
for (const one of EQUIVALENT)
  console.log(
    `not planted: ${one.file} ${String(one.line)}${one.change === undefined ? "" : ` to ${String(one.change)}`}: ${one.why}`,
  );
