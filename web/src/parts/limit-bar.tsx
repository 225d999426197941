/**
 * One grammar for every limit: clear track = allowed, hatch = not allowed, heavy edge = the limit, hollow tick = proven,
 * solid pip = now, the stroke between them = the change.
 */
export interface LimitBarProps {
  readonly now: number;
  readonly proven?: number | null;
  /** Allowed from and to; the side that is left out has no limit. */
  readonly from?: number;
  readonly to?: number;
  /** What was judged in the worst of its conditions, where `now` is nominal. */
  readonly worst?: number;
  /** What lies outside is only off the mark, not forbidden: it is never red. */
  readonly mark?: boolean;
  /** The edit in hand moves this value. */
  readonly live?: boolean;
  readonly words: string;
}

const WIDTH = 120;
const HEIGHT = 12;
/** Where a single limit stands on the bar, and the two of a band. */
const LIMIT_AT = 0.86;
const BAND_AT = [0.2, 0.8] as const;

export function LimitBar({ now, proven, from, to, worst, mark = false, live = false, words }: LimitBarProps) {
  const scale = scaleOf(from, to, now);
  const x = (value: number) => Math.min(1, Math.max(0, scale(value))) * WIDTH;
  const low = from === undefined ? 0 : x(from);
  const high = to === undefined ? WIDTH : x(to);
  const past = (from !== undefined && now < from) || (to !== undefined && now > to);
  const tone = past && !mark ? "past" : live ? "live" : "";
  const was = proven ?? undefined;
  return (
    <svg
      className={`limit-bar ${tone}`}
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      preserveAspectRatio="none"
      role="img"
      aria-label={words}
    >
      {low > 0 && <Hatch from={0} to={low} />}
      {high < WIDTH && <Hatch from={high} to={WIDTH} />}
      <path className="limit-track" d={`M${low} ${HEIGHT - 0.5}H${high}`} />
      {from !== undefined && <path className="limit-edge" d={`M${low} 0V${HEIGHT}`} />}
      {to !== undefined && <path className="limit-edge" d={`M${high} 0V${HEIGHT}`} />}
      {was !== undefined && <path className="limit-way" d={`M${x(was)} 6.5H${x(now)}`} />}
      {was !== undefined && <rect className="limit-proven" x={x(was) - 2.5} y={0.5} width={5} height={HEIGHT - 1} />}
      {worst !== undefined && Math.abs(x(worst) - x(now)) > 3 && (
        <path className="limit-worst" d={`M${x(now)} ${HEIGHT - 3}H${x(worst)}M${x(worst)} 2V${HEIGHT}`} />
      )}
      <rect className="limit-now" x={x(now) - 2.5} y={0} width={5} height={HEIGHT} />
    </svg>
  );
}

/** Slanted strokes, drawn: a pattern would need an id of its own in every bar. */
function Hatch({ from, to }: { from: number; to: number }) {
  const strokes: string[] = [];
  for (let x = from - HEIGHT; x < to; x += 4) {
    const left = Math.max(from, x);
    const right = Math.min(to, x + HEIGHT);
    if (right > left) strokes.push(`M${left} ${HEIGHT - (left - x)}L${right} ${HEIGHT - (right - x)}`);
  }
  return <path className="limit-hatch" d={strokes.join("")} />;
}

function scaleOf(from: number | undefined, to: number | undefined, now: number): (value: number) => number {
  if (from !== undefined && to !== undefined) {
    const span = to - from || Math.abs(now) || 1;
    return (value) => BAND_AT[0] + ((value - from) / span) * (BAND_AT[1] - BAND_AT[0]);
  }
  // A limit below nought (a level in dB) has what is allowed on its left as any other.
  if (to !== undefined) return (value) => (to === 0 ? LIMIT_AT : LIMIT_AT * (1 + (value - to) / Math.abs(to)));
  // A least value: the limit stands left, twice the limit in the middle.
  if (from !== undefined) return (value) => (from === 0 ? 0.5 : 0.26 * (1 + (value - from) / Math.abs(from)));
  return (value) => (now === 0 ? 0.5 : (value / now) * 0.5);
}
