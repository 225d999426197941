/**
 * Samples of one period and their harmonics, both ways.
 *
 * Law     x(n) = Re sum_{k=0..K} X_k e^(j 2 pi k n / N), N = 2K + 1: as many samples as the harmonics have parts, so the
 *         map is one to one. X_k are complex peak amplitudes, X_0 is the mean.
 * Method  Folded: sums and differences of samples n and N - n meet cosines and sines of the first K samples only, a
 *         quarter of the multiplications of a plain transform. At the sizes used here that beats a fast one. Back to
 *         samples two rows go together and share the table.
 * Limits  The table holds 2 K^2 numbers (K = 128: 256 kB).
 */

export interface Transform {
  readonly harmonics: number;
  readonly samples: number;
  /** [(k - 1) K + (n - 1)]: cos and sin of 2 pi k n / N; symmetric, so one table serves both ways. */
  readonly cosine: Float64Array;
  readonly sine: Float64Array;
  readonly even: Float64Array;
  readonly odd: Float64Array;
}

export function openTransform(harmonics: number): Transform {
  const K = harmonics;
  const N = 2 * K + 1;
  const cosine = new Float64Array(K * K);
  const sine = new Float64Array(K * K);
  const c = new Float64Array(N);
  const s = new Float64Array(N);
  for (let j = 0; j < N; j++) {
    c[j] = Math.cos((2 * Math.PI * j) / N);
    s[j] = Math.sin((2 * Math.PI * j) / N);
  }
  for (let k = 1; k <= K; k++) {
    for (let n = 1; n <= K; n++) {
      const j = (k * n) % N;
      cosine[(k - 1) * K + n - 1] = c[j] as number;
      sine[(k - 1) * K + n - 1] = s[j] as number;
    }
  }
  return { harmonics: K, samples: N, cosine, sine, even: new Float64Array(2 * K), odd: new Float64Array(2 * K) };
}

/** Harmonics 0..K of the N samples at x[at..], written to re[to..] and im[to..]. */
export function toHarmonics(
  t: Transform,
  x: Float64Array,
  at: number,
  re: Float64Array,
  im: Float64Array,
  to: number,
): void {
  const { harmonics: K, samples: N, cosine, sine, even, odd } = t;
  const first = x[at] as number;
  let sum = first;
  for (let n = 1; n <= K; n++) {
    const a = x[at + n] as number;
    const b = x[at + N - n] as number;
    even[n - 1] = a + b;
    odd[n - 1] = a - b;
    sum += a + b;
  }
  const scale = 2 / N;
  re[to] = sum / N;
  im[to] = 0;
  let k = 1;
  for (; k < K; k += 2) {
    let p = (k - 1) * K;
    let q = p + K;
    let c0 = first;
    let c1 = first;
    let s0 = 0;
    let s1 = 0;
    for (let n = 0; n < K; n++, p++, q++) {
      const e = even[n] as number;
      const o = odd[n] as number;
      c0 += (cosine[p] as number) * e;
      s0 += (sine[p] as number) * o;
      c1 += (cosine[q] as number) * e;
      s1 += (sine[q] as number) * o;
    }
    re[to + k] = scale * c0;
    im[to + k] = -scale * s0;
    re[to + k + 1] = scale * c1;
    im[to + k + 1] = -scale * s1;
  }
  if (k === K) {
    let p = (k - 1) * K;
    let c0 = first;
    let s0 = 0;
    for (let n = 0; n < K; n++, p++) {
      c0 += (cosine[p] as number) * (even[n] as number);
      s0 += (sine[p] as number) * (odd[n] as number);
    }
    re[to + k] = scale * c0;
    im[to + k] = -scale * s0;
  }
}

/** The N samples of harmonics 0..K at re[at..] and im[at..], written to x[to..]. */
export function toSamples(
  t: Transform,
  re: Float64Array,
  im: Float64Array,
  at: number,
  x: Float64Array,
  to: number,
): void {
  const { harmonics: K, samples: N, cosine, sine, even, odd } = t;
  const mean = re[at] as number;
  let peak = mean;
  for (let k = 0; k < K; k++) {
    const a = re[at + 1 + k] as number;
    even[k] = a;
    odd[k] = im[at + 1 + k] as number;
    peak += a;
  }
  x[to] = peak;
  let n = 1;
  for (; n < K; n += 2) {
    let p = (n - 1) * K;
    let q = p + K;
    let c0 = mean;
    let c1 = mean;
    let s0 = 0;
    let s1 = 0;
    for (let k = 0; k < K; k++, p++, q++) {
      const a = even[k] as number;
      const b = odd[k] as number;
      c0 += (cosine[p] as number) * a;
      s0 += (sine[p] as number) * b;
      c1 += (cosine[q] as number) * a;
      s1 += (sine[q] as number) * b;
    }
    x[to + n] = c0 - s0;
    x[to + N - n] = c0 + s0;
    x[to + n + 1] = c1 - s1;
    x[to + N - n - 1] = c1 + s1;
  }
  if (n === K) {
    let p = (n - 1) * K;
    let c0 = mean;
    let s0 = 0;
    for (let k = 0; k < K; k++, p++) {
      c0 += (cosine[p] as number) * (even[k] as number);
      s0 += (sine[p] as number) * (odd[k] as number);
    }
    x[to + n] = c0 - s0;
    x[to + N - n] = c0 + s0;
  }
}

/** `toSamples` of two rows: harmonics at [atA..] and [atB..], samples to x[toA..] and x[toB..]. */
export function toSamplesOfTwo(
  t: Transform,
  re: Float64Array,
  im: Float64Array,
  atA: number,
  atB: number,
  x: Float64Array,
  toA: number,
  toB: number,
): void {
  const { harmonics: K, samples: N, cosine, sine, even, odd } = t;
  const meanA = re[atA] as number;
  const meanB = re[atB] as number;
  let peakA = meanA;
  let peakB = meanB;
  for (let k = 0; k < K; k++) {
    const a = re[atA + 1 + k] as number;
    const b = re[atB + 1 + k] as number;
    even[k] = a;
    even[K + k] = b;
    odd[k] = im[atA + 1 + k] as number;
    odd[K + k] = im[atB + 1 + k] as number;
    peakA += a;
    peakB += b;
  }
  x[toA] = peakA;
  x[toB] = peakB;
  let n = 1;
  for (; n < K; n += 2) {
    let p = (n - 1) * K;
    let q = p + K;
    let ca0 = meanA;
    let ca1 = meanA;
    let cb0 = meanB;
    let cb1 = meanB;
    let sa0 = 0;
    let sa1 = 0;
    let sb0 = 0;
    let sb1 = 0;
    for (let k = 0; k < K; k++, p++, q++) {
      const c0 = cosine[p] as number;
      const c1 = cosine[q] as number;
      const s0 = sine[p] as number;
      const s1 = sine[q] as number;
      const ea = even[k] as number;
      const eb = even[K + k] as number;
      const oa = odd[k] as number;
      const ob = odd[K + k] as number;
      ca0 += c0 * ea;
      ca1 += c1 * ea;
      cb0 += c0 * eb;
      cb1 += c1 * eb;
      sa0 += s0 * oa;
      sa1 += s1 * oa;
      sb0 += s0 * ob;
      sb1 += s1 * ob;
    }
    x[toA + n] = ca0 - sa0;
    x[toA + N - n] = ca0 + sa0;
    x[toA + n + 1] = ca1 - sa1;
    x[toA + N - n - 1] = ca1 + sa1;
    x[toB + n] = cb0 - sb0;
    x[toB + N - n] = cb0 + sb0;
    x[toB + n + 1] = cb1 - sb1;
    x[toB + N - n - 1] = cb1 + sb1;
  }
  if (n === K) {
    let p = (n - 1) * K;
    let ca = meanA;
    let cb = meanB;
    let sa = 0;
    let sb = 0;
    for (let k = 0; k < K; k++, p++) {
      const c = cosine[p] as number;
      const s = sine[p] as number;
      ca += c * (even[k] as number);
      cb += c * (even[K + k] as number);
      sa += s * (odd[k] as number);
      sb += s * (odd[K + k] as number);
    }
    x[toA + n] = ca - sa;
    x[toA + N - n] = ca + sa;
    x[toB + n] = cb - sb;
    x[toB + N - n] = cb + sb;
  }
}
