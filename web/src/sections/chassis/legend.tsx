/** What the marks of the drawing mean, each drawn as it is there; wires where they are drawn. */
export function Legend({ wires }: { wires: boolean }) {
  return wires ? (
    <ul className="chassis-legend">
      {WIRES.map(({ words, look }) => (
        <li key={words}>
          <svg viewBox="0 0 26 16" aria-hidden="true">
            {look === "legend-twist" ? (
              <path d="M0 8Q3.25 3 6.5 8T13 8T19.5 8T26 8M0 8Q3.25 13 6.5 8T13 8T19.5 8T26 8" className={look} />
            ) : (
              <path d="M0 8H26" className={look} />
            )}
          </svg>
          {words}
        </li>
      ))}
    </ul>
  ) : (
    <ul className="chassis-legend">
      <li>
        <svg viewBox="0 0 16 16" aria-hidden="true">
          <circle cx="8" cy="8" r="5.5" className="legend-hole" />
        </svg>
        hole
      </li>
      <li>
        <svg viewBox="0 0 16 16" aria-hidden="true">
          <circle cx="8" cy="8" r="6" className="legend-wrong" />
          <path d="M3.5 9.5 9.5 3.5M5 12.5 12.5 5M8.5 13 13 8.5" className="legend-wrong" />
        </svg>
        cut, wrong size
      </li>
      <li>
        <svg viewBox="0 0 16 16" aria-hidden="true">
          <circle cx="8" cy="8" r="5.5" className="legend-live" />
        </svg>
        in hand
      </li>
      <li>
        <svg viewBox="0 0 22 16" aria-hidden="true">
          <path d="M0 8H22" className="legend-body" />
        </svg>
        body, this face
      </li>
      <li>
        <svg viewBox="0 0 12 16" aria-hidden="true">
          <path d="M1 4H11L6 12Z" className="legend-key" />
        </svg>
        socket key
      </li>
    </ul>
  );
}

const WIRES = [
  { words: "heaters, twisted", look: "legend-twist" },
  { words: "mains", look: "legend-mains" },
  { words: "safety earth", look: "legend-earth" },
  { words: "B+", look: "legend-b" },
  { words: "ground bus", look: "legend-bus" },
  { words: "signal", look: "legend-signal" },
  { words: "plates, grids, cathodes", look: "legend-plain" },
] as const;
