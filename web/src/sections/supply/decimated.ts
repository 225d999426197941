/**
 * Places in a rising list of times to draw a curve by: evenly spread in time, ends included, each place once. Steps of a
 * solve crowd where something happens fast; a plot of some hundred pixels cannot show more.
 */
export function decimated(times: readonly number[], most: number): readonly number[] {
  if (times.length <= most) return times.map((_, n) => n);
  const last = times.length - 1;
  const [from, to] = [times[0] ?? 0, times[last] ?? 0];
  const kept: number[] = [];
  let n = 0;
  for (let k = 0; k < most; k++) {
    const wanted = from + ((to - from) * k) / (most - 1);
    while (n < last && (times[n] ?? 0) < wanted) n++;
    if (kept.at(-1) !== n) kept.push(n);
  }
  if (kept.at(-1) !== last) kept.push(last);
  return kept;
}
