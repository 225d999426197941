/**
 * Planted faults: one-token changes in laws, stamps and solves, one at a time on a copy of the tree, to see that the checks
 * bite. `npm run faults [count] [seed] [part of a file's name]`; prints what was caught and what slipped through. The tree
 * itself is not touched.
 */
import { spawnSync } from "node:child_process";
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
  "engine/src/solve/rectifier.ts",
  "engine/src/solve/rectifier-ideal.ts",
  "engine/src/solve/coupled-stage.ts",
];
const ROOMS = ["engine", "library", "design", "checks", "workshop", "examples"];

/**
 * Changes that no answer can show: they alter effort or a guard, never a result. Each with the reason; matched by file and
 * by the text of its line.
 */
const EQUIVALENT: readonly { readonly file: string; readonly line: RegExp; readonly why: string }[] = [
  {
    file: "harmonics-step.ts",
    line: /./,
    why: "the whole file only solves for a step: a worse step ends at the same point or is said not to settle",
  },
  {
    file: "harmonics-newton.ts",
    line: /fraction|share|goal|fresh|TIRED|steps|spent|factor|reached|1e3|swing|size|ROUNDING/,
    why: "step control, and a tolerance of a billionth: another path to the same answer",
  },
  {
    file: "bias.ts",
    line: /gridStepVolts|plateStepVolts|stride|halving|limits\.steps|fraction|scale|worst|steps|jacobian|move|entry|> 30|= 0;/,
    why: "step control and Jacobian: another path to the same point",
  },
  {
    file: "harmonics.ts",
    line: /stride|ramp|LADDER|rung|ahead|waiting|best|incoming|slope|coupling|at = |known|count|startK|size|below|good|currents|q \+=|row/,
    why: "order of tubes, start and continuation: another path to the same answer",
  },
  {
    file: "levels.ts",
    line: /predict|wa|wb|tries|next|level \* 1\.5|slope|share|count|known|rest|low = |lowMiss|harmonics: 24|1e-30|\(low \+ high\)/,
    why: "prediction and bracketing: another path to the same level",
  },
  {
    file: "rectifier.ts",
    line: /guess|theta|scale|stiffness|stagesFor|1\.45|1\.4|Math\.cbrt|pulsePeak|resistance|wanted|let y|let vd|1e-14|fraction|shots|stages|n < /,
    why: "first guess, step acceptance and number of steps",
  },
  {
    file: "harmonics.ts",
    line: /lawCalls: 0|K > most/,
    why: "counts of effort; the cap on K where a level did not settle",
  },
  { file: "coupled-stage.ts", line: /upToVolts = /, why: "how far a search goes when nobody says" },
  { file: "collocation.ts", line: /SILENT_AMPS|liveCount|flows/, why: "leaves out currents that move nothing" },
  { file: "triode.ts", line: /-40|< 1e-6|< 700|> -30|< -/, why: "where a tail below rounding is cut" },
  { file: "diode.ts", line: /LARGEST_EXPONENT/, why: "where overflow is kept off" },
  { file: "compile.ts", line: /POT_END|SINK_OHMS/, why: "a millionth of a track, a gigohm" },
  { file: "spectrum.ts", line: /Math\.max\(0/, why: "guard of an empty list" },
];

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
  [/(?<![\w.\]]|\?\? )\d+(\.\d+)?(e-?\d+)?(?![\w.])/g, (token) => (token === "0" ? "1" : String(Number(token) * 2))],
  [/\bMath\.cos\b/g, () => "Math.sin"],
  [/\bMath\.sin\b/g, () => "Math.cos"],
  [/\bout\[1\]/g, () => "out[2]"],
  [/\bout\[2\]/g, () => "out[1]"],
  [/Real\b/g, () => "Imaginary"],
  [/\bplus\b(?=[,)])/g, () => "minus"],
];

function faultsOf(file: string): readonly Fault[] {
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
    if (EQUIVALENT.some((one) => one.file === name && one.line.test(line))) continue;
    const code = line.replace(/\/\/.*$/, "");
    for (const [pattern, swap] of SWAPS)
      for (const match of code.matchAll(pattern)) {
        const to = swap(match[0]);
        const after = line.slice(0, match.index) + to + line.slice(match.index + match[0].length);
        faults.push({ file, line: i + 1, from: match[0], to, before: line, after });
      }
  }
  return faults;
}

/** Runs the engine's and the outside tests on the copy. */
const passes = (folder: string) =>
  spawnSync(process.execPath, [join("node_modules", "vitest", "vitest.mjs"), "run", "--bail=1", "engine", "checks"], {
    cwd: folder,
    encoding: "utf8",
    timeout: 120_000,
    env: { ...process.env, CI: "" },
  }).status === 0;

function plant(folder: string, fault: Fault): "caught" | "missed" {
  const path = join(folder, fault.file);
  const clean = readFileSync(path, "utf8");
  const lines = clean.split("\n");
  lines[fault.line - 1] = fault.after;
  writeFileSync(path, lines.join("\n"));
  const missed = passes(folder);
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
if (!passes(folder)) {
  rmSync(folder, { recursive: true, force: true });
  console.error("The tests fail on the copy before any fault is planted; nothing was counted.");
  process.exit(1);
}

const only = process.argv[4] ?? "";
const pools = FILES.filter((file) => file.includes(only))
  .map(faultsOf)
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
  const outcome = plant(folder, fault);
  if (outcome === "caught") caught++;
  else missed.push(fault);
  console.log(`${outcome}  ${fault.file}:${fault.line}  ${fault.before.trim()}  →  ${fault.after.trim()}`);
}
rmSync(folder, { recursive: true, force: true });
console.log(
  `\n${planted.size} planted, ${caught} caught (${((100 * caught) / planted.size).toFixed(1)} %), ${missed.length} missed; seed ${seed}`,
);
for (const one of EQUIVALENT) console.log(`not planted: ${one.file} ${String(one.line)}: ${one.why}`);
