import type { Sourced } from "./asks.ts";

/** How well a figure is known, by shape and word: full = published, half = quoted, cross = from memory. */
export function StatusMark({ status, confidence }: Pick<Sourced, "status" | "confidence">) {
  return (
    <span className="status-mark">
      <svg viewBox="0 0 12 12" aria-hidden="true">
        {status === "published" && <path d="M6 .8 11.2 6 6 11.2 .8 6Z" className="level-fill" />}
        {status === "quoted" && (
          <>
            <path d="M6 .8 11.2 6 6 11.2 .8 6Z" className="level-line" />
            <path d="M6 .8 V11.2 L.8 6Z" className="level-fill" />
          </>
        )}
        {status === "memory" && <path d="M2 2 10 10M10 2 2 10" className="level-line" />}
        {status === "derived" && <path d="M6 .8 11.2 6 6 11.2 .8 6Z" className="level-line" />}
      </svg>
      {status}
      {confidence !== undefined && status === "memory" ? `, ${confidence}` : ""}
    </span>
  );
}
