/** A choice among a few, one pressed at a time; arrows move along it as in a group of radio buttons. */
export function Choice<T extends string>({
  label,
  options,
  value,
  onChoose,
}: {
  label: string;
  options: readonly { readonly value: T; readonly words: string; readonly disabled?: boolean }[];
  value: T;
  onChoose: (value: T) => void;
}) {
  return (
    <div className="choice" role="radiogroup" aria-label={label}>
      {options.map((option) => (
        <button
          key={option.value}
          type="button"
          role="radio"
          aria-checked={option.value === value}
          tabIndex={option.value === value ? 0 : -1}
          disabled={option.disabled === true}
          onClick={() => onChoose(option.value)}
          onKeyDown={(event) => {
            const by =
              event.key === "ArrowRight" || event.key === "ArrowDown"
                ? 1
                : event.key === "ArrowLeft" || event.key === "ArrowUp"
                  ? -1
                  : 0;
            if (by === 0) return;
            event.preventDefault();
            event.stopPropagation();
            const open = options.filter((one) => one.disabled !== true);
            const at = open.findIndex((one) => one.value === value);
            const next = open[(at + by + open.length) % open.length];
            if (next === undefined) return;
            onChoose(next.value);
            const buttons = event.currentTarget.parentElement?.querySelectorAll("button");
            buttons?.[options.indexOf(next)]?.focus();
          }}
        >
          {option.words}
        </button>
      ))}
    </div>
  );
}
