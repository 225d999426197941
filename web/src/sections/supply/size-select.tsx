/** Sizes as they are sold, and the one that is fitted whatever it is; choosing one is one step. */
export function SizeSelect({
  label,
  unit,
  value,
  sizes,
  hideLabel = false,
  onChoose,
}: {
  label: string;
  unit: string;
  value: number | undefined;
  sizes: readonly number[];
  hideLabel?: boolean;
  onChoose: (size: number) => void;
}) {
  const all = [...new Set([...sizes, ...(value === undefined ? [] : [value])])].sort((a, b) => a - b);
  return (
    <label className="supply-control">
      <span className={hideLabel ? "unseen" : undefined}>{label}</span>
      <select
        className="field"
        value={value ?? ""}
        onChange={(event) => {
          const size = Number(event.currentTarget.value);
          if (size > 0) onChoose(size);
        }}
      >
        {value === undefined && <option value="">not written</option>}
        {all.map((size) => (
          <option key={size} value={size}>
            {`${size}\u202f${unit}`}
          </option>
        ))}
      </select>
    </label>
  );
}

/** As sold; common practice. */
export const CAPACITOR_VOLTS = [16, 25, 35, 50, 63, 100, 160, 200, 250, 350, 400, 450, 500, 630, 1000] as const;
export const RESISTOR_WATTS = [0.25, 0.5, 0.6, 1, 2, 3, 5, 7, 10, 15, 25, 50] as const;
