/**
 * Heights for a column of labels: as near as can be to where each is wanted, in the same order, none closer than
 * `pitch` to the next, all between `top` and `bottom`. Undefined when they do not all fit.
 *
 * Method  Least squares under order constraints by pooling neighbours that are too close.
 */
export function spread(
  wanted: readonly number[],
  pitch: number,
  top: number,
  bottom: number,
): readonly number[] | undefined {
  if ((wanted.length - 1) * pitch > bottom - top + 1e-9) return undefined;
  const order = wanted.map((_, n) => n).sort((a, b) => (wanted[a] as number) - (wanted[b] as number) || a - b);
  // Shifted by the pitch, "not closer than the pitch" becomes "not falling".
  const pools: { sum: number; count: number }[] = [];
  order.forEach((n, rank) => {
    pools.push({ sum: (wanted[n] as number) - rank * pitch, count: 1 });
    for (;;) {
      const last = pools.at(-1);
      const before = pools.at(-2);
      if (last === undefined || before === undefined || before.sum / before.count <= last.sum / last.count) return;
      pools.pop();
      before.sum += last.sum;
      before.count += last.count;
    }
  });
  const highest = bottom - (wanted.length - 1) * pitch;
  const heights: number[] = [];
  let rank = 0;
  for (const { sum, count } of pools)
    for (let n = 0; n < count; n++, rank++)
      heights[order[rank] as number] = Math.min(highest, Math.max(top, sum / count)) + rank * pitch;
  return heights;
}
