/**
 * Integral of several spectral densities over a band, all at once, on a logarithmic frequency axis.
 *
 * Law     int S(f) df = int S(f) f du with u = ln f: smooth in u for networks of resistors and capacitors.
 * Method  Gauss-Kronrod 7/15 on panels of at most half a decade; the panel with the largest error is halved until the error of
 *         every watched density is within `tolerance` of its integral.
 * Limits  The error is the sum of |K15 - G7| over the panels: it overstates where the density is smooth. A peak narrower
 *         than the space between two nodes (Q above about 20) can escape. Ends after `panels` panels with what it has.
 * Sources Nodes and weights: Piessens et al., QUADPACK, 1983 (memory; their degrees of exactness are under test).
 */

/** Nodes above the middle, outermost first; every second one (and the middle) is a node of the 7-point rule. */
const NODES = [
  0.9914553711208126, 0.9491079123427585, 0.8648644233597691, 0.7415311855993945, 0.5860872354676911,
  0.4058451513773972, 0.20778495500789848, 0,
] as const;
const KRONROD = [
  0.022935322010529224, 0.06309209262997856, 0.10479001032225019, 0.14065325971552592, 0.1690047266392679,
  0.19035057806478542, 0.20443294007529889, 0.20948214108472782,
] as const;
const GAUSS = [0, 0.1294849661688697, 0, 0.27970539148927664, 0, 0.3818300505051189, 0, 0.4179591836734694] as const;

export interface BandIntegral {
  /** Per density. */
  readonly sums: Float64Array;
  /** Per watched density: estimated error of its sum. */
  readonly errors: Float64Array;
  readonly panels: number;
  readonly evaluations: number;
  /** False when the panels ran out first. */
  readonly withinTolerance: boolean;
}

export interface BandAsk {
  readonly from: number;
  readonly to: number;
  /** Number of densities; the first `watched` steer the halving. */
  readonly densities: number;
  readonly watched: number;
  readonly tolerance: number;
  readonly panels: number;
}

interface Panel {
  readonly low: number;
  readonly high: number;
  readonly sums: Float64Array;
  readonly errors: Float64Array;
}

/** `evaluate` writes the densities at a frequency in Hz, or answers false where it cannot; then there is no integral. */
export function integrateBand(
  ask: BandAsk,
  evaluate: (hertz: number, out: Float64Array) => boolean,
): BandIntegral | undefined {
  const out = new Float64Array(ask.densities);
  let evaluations = 0;
  const panelOver = (low: number, high: number): Panel | undefined => {
    const sums = new Float64Array(ask.densities);
    const errors = new Float64Array(ask.watched);
    const half = (high - low) / 2;
    const middle = (high + low) / 2;
    for (const [i, node] of NODES.entries())
      for (const side of node === 0 ? [1] : [1, -1]) {
        const f = Math.exp(middle + side * half * node);
        evaluations++;
        if (!evaluate(f, out)) return undefined;
        const kronrod = half * f * (KRONROD[i] as number);
        const difference = half * f * ((KRONROD[i] as number) - (GAUSS[i] as number));
        for (let d = 0; d < ask.densities; d++) sums[d] = (sums[d] as number) + kronrod * (out[d] as number);
        for (let d = 0; d < ask.watched; d++) errors[d] = (errors[d] as number) + difference * (out[d] as number);
      }
    return { low, high, sums, errors: errors.map(Math.abs) };
  };
  const low = Math.log(ask.from);
  const width = Math.log(ask.to) - low;
  const first = Math.max(1, Math.ceil((2 * width) / Math.LN10 - 1e-9));
  const panels: Panel[] = [];
  for (let i = 0; i < first; i++) {
    const panel = panelOver(low + (width * i) / first, low + (width * (i + 1)) / first);
    if (panel === undefined) return undefined;
    panels.push(panel);
  }
  for (;;) {
    const sums = totalOf(panels, ask.densities, (panel) => panel.sums);
    const errors = totalOf(panels, ask.watched, (panel) => panel.errors);
    const withinTolerance = errors.every((error, d) => error <= ask.tolerance * Math.abs(sums[d] as number));
    if (withinTolerance || panels.length >= ask.panels)
      return { sums, errors, panels: panels.length, evaluations, withinTolerance };
    const worst = worstPanel(panels, sums);
    const { low: left, high: right } = panels[worst] as Panel;
    const lower = panelOver(left, (left + right) / 2);
    const upper = panelOver((left + right) / 2, right);
    if (lower === undefined || upper === undefined) return undefined;
    panels.splice(worst, 1, lower, upper);
  }
}

function totalOf(panels: readonly Panel[], count: number, of: (panel: Panel) => Float64Array): Float64Array {
  const total = new Float64Array(count);
  for (const panel of panels)
    for (let d = 0; d < count; d++) total[d] = (total[d] as number) + (of(panel)[d] as number);
  return total;
}

/** The panel whose error is the largest share of an integral. */
function worstPanel(panels: readonly Panel[], sums: Float64Array): number {
  let worst = 0;
  let share = -1;
  for (const [i, panel] of panels.entries())
    for (const [d, error] of panel.errors.entries()) {
      const of = Math.abs(sums[d] as number);
      const here = of > 0 ? error / of : error;
      if (here > share) {
        share = here;
        worst = i;
      }
    }
  return worst;
}
