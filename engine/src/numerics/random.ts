/**
 * Seeded random numbers that repeat for ever: saved studies name their seed.
 *
 * Method  xoshiro128** on 32-bit words, seeded by splitmix32; 53-bit uniforms from two words; normals by the polar form.
 * Sources Blackman and Vigna, Scrambled linear pseudorandom number generators, 2021 (memory; the stream is pinned by test).
 */
export interface SeededRandom {
  /** 0 <= u < 1. */
  uniform(): number;
  /** Mean 0, standard deviation 1. */
  normal(): number;
  /** Integer 0 <= i < n. */
  below(n: number): number;
}

export function seededRandom(seed: number): SeededRandom {
  let z = seed >>> 0;
  const splitmix = () => {
    z = (z + 0x9e3779b9) >>> 0;
    let t = z ^ (z >>> 16);
    t = Math.imul(t, 0x21f0aaad);
    t ^= t >>> 15;
    t = Math.imul(t, 0x735a2d97);
    return (t ^ (t >>> 15)) >>> 0;
  };
  let a = splitmix();
  let b = splitmix();
  let c = splitmix();
  let d = splitmix();
  const word = () => {
    const x = Math.imul(b, 5);
    const result = Math.imul((x << 7) | (x >>> 25), 9) >>> 0;
    const t = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= t;
    d = (d << 11) | (d >>> 21);
    return result;
  };
  const uniform = () => ((word() >>> 5) * 0x4000000 + (word() >>> 6)) / 0x20000000000000;
  let spare: number | undefined;
  const normal = (): number => {
    if (spare !== undefined) {
      const kept = spare;
      spare = undefined;
      return kept;
    }
    for (;;) {
      const u = 2 * uniform() - 1;
      const v = 2 * uniform() - 1;
      const s = u * u + v * v;
      if (s >= 1 || s === 0) continue;
      const f = Math.sqrt((-2 * Math.log(s)) / s);
      spare = v * f;
      return u * f;
    }
  };
  return { uniform, normal, below: (n) => Math.floor(uniform() * n) };
}
