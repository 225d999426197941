// Makes every SciPy fixture again and compares it with the committed one. Status 0 same, 1 different, 77 no SciPy.
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const FIXTURES = [
  ["circuits.py", "circuits.json"],
  ["numerics.py", "numerics.json"],
  ["transient-cases.py", "transient-cases.json"],
];
/** Relative to the largest number of its list: SciPy versions and linear algebra libraries differ in the last digits. */
const TOLERANCE = 1e-7;

// Debian's own interpreter sees python3-scipy; another one on the path may not.
const python = ["/usr/bin/python3", "python3"].find((one) => spawnSync(one, ["-c", "import scipy"]).status === 0);
if (python === undefined) {
  console.log("SciPy is missing (Debian package python3-scipy): the fixtures were not made again.");
  process.exit(77);
}

const numbers = (value, path = "") =>
  typeof value === "number"
    ? [[path, value]]
    : typeof value === "object" && value !== null
      ? Object.entries(value).flatMap(([key, one]) => numbers(one, `${path}/${key}`))
      : [];

const folder = mkdtempSync(join(tmpdir(), "platewright-"));
let different = 0;
for (const [generator, fixture] of FIXTURES) {
  const made = join(folder, fixture);
  const run = spawnSync(python, [join("checks/scipy", generator), made], { stdio: "inherit" });
  if (run.status !== 0) {
    different++;
    continue;
  }
  const fresh = new Map(numbers(JSON.parse(readFileSync(made, "utf8"))));
  const kept = numbers(JSON.parse(readFileSync(join("checks/scipy", fixture), "utf8")));
  const scale = Math.max(...kept.map(([, value]) => Math.abs(value)).filter((value) => value < 1e4));
  const off = kept.filter(
    ([path, value]) =>
      !(Math.abs((fresh.get(path) ?? Number.NaN) - value) <= TOLERANCE * Math.max(Math.abs(value), scale * 1e-3)),
  );
  console.log(`${fixture}: ${kept.length} numbers, ${off.length} differ`);
  for (const [path, value] of off.slice(0, 5)) console.log(`  ${path}: kept ${value}, now ${fresh.get(path)}`);
  if (off.length > 0 || fresh.size !== kept.length) different++;
}
rmSync(folder, { recursive: true, force: true });
process.exit(different === 0 ? 0 : 1);
