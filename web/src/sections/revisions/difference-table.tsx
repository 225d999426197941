import type { Difference } from "@platewright/design";
import { digits, printDecibels, printPercent, printValue } from "@platewright/engine";

/** What a change did, quantity by quantity; what did not move is left out unless asked for. */
export function DifferenceTable({
  differences,
  first,
  second,
  every,
}: {
  differences: readonly Difference[];
  first: string;
  second: string;
  every: boolean;
}) {
  const rows = differences.filter((one) => one.unit !== "ratio" || !/\.h\d\//.test(one.id));
  const shown = every ? rows : rows.filter((one) => moved(one));
  if (shown.length === 0) return <p className="revisions-empty">Nothing that is computed differs.</p>;
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">Quantity</th>
          <th scope="col" className="number">
            {first}
          </th>
          <th scope="col" className="number">
            {second}
          </th>
          <th scope="col" className="number">
            Change
          </th>
        </tr>
      </thead>
      <tbody>
        {shown.map((one) => (
          <tr key={one.id}>
            <th scope="row">
              {one.label}
              {one.channel === undefined ? "" : ` (${one.channel})`}
            </th>
            <td className="number muted">{value(one.proven, one.unit)}</td>
            <td className="number">
              <b>{value(one.now, one.unit)}</b>
              {one.band !== undefined && <span className="muted"> ±{one.band.toFixed(1)} dB</span>}
            </td>
            <td className="number">{change(one)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Below this share of itself a quantity has not moved: solves agree to far less, a meter to far more. */
const STILL = 1e-5;

const moved = ({ proven, now }: Difference): boolean =>
  proven === null || now === null ? proven !== now : Math.abs(now - proven) > STILL * Math.max(Math.abs(now), 1e-9);

function value(number: number | null, unit: string): string {
  if (number === null) return "–";
  if (unit === "dB" || unit === "dBc") return printDecibels(number).replace("dB", unit);
  if (unit === "ratio") return printPercent(number, 3);
  if (unit === "yes/no") return number === 1 ? "yes" : "no";
  return printValue(number, unit);
}

function change({ proven, now, unit }: Difference): string {
  if (proven === null || now === null) return "";
  if (unit === "yes/no") return "turns over";
  const by = now - proven;
  const sign = by > 0 ? "+" : "";
  if (unit === "dB" || unit === "dBc") return `${sign}${printDecibels(by)}`;
  if (unit === "ratio") return `${sign}${digits(100 * by, 2)} points`;
  if (unit === "V" || proven === 0) return `${sign}${printValue(by, unit, 2)}`;
  const percent = 100 * (now / proven - 1);
  return `${percent > 0 ? "+" : "−"}${digits(Math.abs(percent), 2)} %`;
}
