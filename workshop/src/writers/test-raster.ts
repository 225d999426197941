/** For tests: a page of a PDF as dots by a renderer that we did not write (poppler), and where ink stands on it, in millimetres. */
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export const HAS_POPPLER = existsSync("/usr/bin/pdftoppm");

export interface Raster {
  readonly perMillimetre: number;
  /** Ink of a dot, 0 to 1, by its column and row. */
  readonly ink: (column: number, row: number) => number;
  readonly width: number;
  readonly height: number;
}

/** 254 dots to the inch: a dot is 0.1 mm. */
export function rasters(pdf: Uint8Array, dotsPerInch: number): readonly Raster[] {
  const folder = mkdtempSync(join(tmpdir(), "platewright-raster-"));
  try {
    writeFileSync(join(folder, "in.pdf"), pdf);
    const done = spawnSync("pdftoppm", ["-r", String(dotsPerInch), "-gray", "in.pdf", "out"], {
      cwd: folder,
      encoding: "utf8",
    });
    if (done.status !== 0) throw new Error(`pdftoppm: ${done.stderr}`);
    const pages: Raster[] = [];
    for (let n = 1; ; n++) {
      const path = [`out-${n}.pgm`, `out-${String(n).padStart(2, "0")}.pgm`]
        .map((name) => join(folder, name))
        .find((one) => existsSync(one));
      if (path === undefined) return pages;
      const data = readFileSync(path);
      // "P5", width, height, 255, then one byte to the dot.
      const head = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(data.subarray(0, 60).toString("latin1"));
      if (head === null) throw new Error("pdftoppm: no grey map");
      const [width, height, begin] = [Number(head[1]), Number(head[2]), head[0].length];
      pages.push({
        perMillimetre: dotsPerInch / 25.4,
        width,
        height,
        ink: (column, row) => 1 - (data[begin + row * width + column] ?? 255) / 255,
      });
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Middle of the ink along a row or a column, `reach` to both sides of where it is looked for; NaN where there is none. */
export function inkAt(raster: Raster, way: "across" | "up", line: number, near: number, reach: number): number {
  const { perMillimetre: dots } = raster;
  const fixed = Math.floor(line * dots);
  let [sum, moment] = [0, 0];
  for (let n = Math.round((near - reach) * dots); n < Math.round((near + reach) * dots); n++) {
    const ink = way === "across" ? raster.ink(n, fixed) : raster.ink(fixed, n);
    sum += ink;
    moment += ink * (n + 0.5);
  }
  return sum < 0.2 ? Number.NaN : moment / sum / dots;
}

/** Where ink begins and ends along a row or a column between two places, parts of dots by their grey. */
export function inkEnds(
  raster: Raster,
  way: "across" | "up",
  line: number,
  from: number,
  to: number,
): [number, number] {
  const { perMillimetre: dots } = raster;
  const fixed = Math.floor(line * dots);
  let [first, last] = [Number.NaN, Number.NaN];
  for (let n = Math.round(from * dots); n < Math.round(to * dots); n++) {
    const ink = way === "across" ? raster.ink(n, fixed) : raster.ink(fixed, n);
    if (ink < 0.02) continue;
    if (Number.isNaN(first)) first = n + 1 - ink;
    last = n + ink;
  }
  return [first / dots, last / dots];
}
