import { expect, test } from "vitest";
import { seededRandom } from "../numerics/random.ts";
import { openTransform, toHarmonics, toSamples, toSamplesOfTwo } from "./transform.ts";

test.each([1, 2, 3, 8, 12, 17])(
  "K = %d: harmonics are the sum itself, and the samples come back (seeded by K)",
  (K) => {
    const random = seededRandom(100 + K);
    const N = 2 * K + 1;
    const at = 3;
    const x = Float64Array.from({ length: N + 5 }, () => random.uniform() - 0.5);
    const transform = openTransform(K);
    const re = new Float64Array(K + 8);
    const im = new Float64Array(K + 8);
    const to = 2;
    toHarmonics(transform, x, at, re, im, to);
    for (let k = 0; k <= K; k++) {
      let c = 0;
      let s = 0;
      for (let m = 0; m < N; m++) {
        c += (x[at + m] as number) * Math.cos((2 * Math.PI * k * m) / N);
        s -= (x[at + m] as number) * Math.sin((2 * Math.PI * k * m) / N);
      }
      const scale = (k === 0 ? 1 : 2) / N;
      expect(re[to + k]).toBeCloseTo(scale * c, 12);
      expect(im[to + k]).toBeCloseTo(scale * s, 12);
    }
    // Nothing beside the row is touched.
    expect([re[to - 1], re[to + K + 1], im[to - 1], im[to + K + 1]]).toEqual([0, 0, 0, 0]);
    const back = new Float64Array(N + 4);
    toSamples(transform, re, im, to, back, 1);
    for (let m = 0; m < N; m++) expect(back[1 + m]).toBeCloseTo(x[at + m] as number, 12);
    expect([back[0], back[N + 1]]).toEqual([0, 0]);
  },
);

test.each([1, 2, 7, 12])("two rows at once are two rows one by one (K = %d, seeded by K)", (K) => {
  const random = seededRandom(200 + K);
  const N = 2 * K + 1;
  const transform = openTransform(K);
  const re = Float64Array.from({ length: 2 * K + 6 }, () => random.uniform() - 0.5);
  const im = Float64Array.from({ length: 2 * K + 6 }, () => random.uniform() - 0.5);
  const alone = new Float64Array(2 * N + 5);
  const together = new Float64Array(2 * N + 5);
  const atB = K + 4;
  toSamples(transform, re, im, 1, alone, 2);
  toSamples(transform, re, im, atB, alone, N + 4);
  toSamplesOfTwo(transform, re, im, 1, atB, together, 2, N + 4);
  for (let m = 0; m < alone.length; m++) expect(together[m]).toBeCloseTo(alone[m] as number, 13);
});
