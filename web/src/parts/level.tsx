import type { Level as LevelName } from "@platewright/design";

/** Shape, then word: nothing is told by colour alone. ok = ring, watch = half-filled triangle, stop = barred octagon. */
export function LevelSign({ level, words, count }: { level: LevelName; words?: string; count?: number }) {
  return (
    <span className={`level level-${level}`}>
      <svg viewBox="0 0 14 14" aria-hidden="true">
        {level === "ok" && <circle cx="7" cy="7" r="4.4" className="level-line" />}
        {level === "watch" && (
          <>
            <path d="M7 1.6 13 12.6H1Z" className="level-line" />
            <path d="M7 1.6 13 12.6H7Z" className="level-fill" />
          </>
        )}
        {level === "stop" && (
          <path
            fillRule="evenodd"
            className="level-fill"
            d="M4.2 0h5.6L14 4.2v5.6L9.8 14H4.2L0 9.8V4.2ZM3 5.8v2.4h8V5.8Z"
          />
        )}
      </svg>
      {count !== undefined && <span>{count}</span>}
      <span className={count !== undefined && words === "" ? "unseen" : undefined}>
        {words === "" ? level : (words ?? level)}
      </span>
    </span>
  );
}
