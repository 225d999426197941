/** Plain-text tables: columns aligned, numbers to the right, no box drawing, never wider than needed. */

export interface Column {
  readonly title: string;
  readonly align?: "left" | "right";
}

const ESCAPE = String.fromCharCode(27);
const ansi = new RegExp(`${ESCAPE}\\[[0-9;]*m`, "g");

/** Width on a terminal: escape codes count nothing, every other character here is one cell wide. */
export const cells = (text: string): number => [...text.replace(ansi, "")].length;

export const padEnd = (text: string, width: number): string => text + " ".repeat(Math.max(0, width - cells(text)));
export const padStart = (text: string, width: number): string => " ".repeat(Math.max(0, width - cells(text))) + text;

/** Rows of equal length under a heading and a rule; `gap` spaces between columns. */
export function table(columns: readonly Column[], rows: readonly (readonly string[])[], gap = 2): string {
  const widths = columns.map((column, i) => Math.max(cells(column.title), ...rows.map((row) => cells(row[i] ?? ""))));
  const line = (row: readonly string[]) =>
    columns
      .map((column, i) =>
        column.align === "right" ? padStart(row[i] ?? "", widths[i] ?? 0) : padEnd(row[i] ?? "", widths[i] ?? 0),
      )
      .join(" ".repeat(gap))
      .trimEnd();
  const titled = columns.some((column) => column.title !== "");
  const head = titled
    ? [line(columns.map((column) => column.title)), widths.map((w) => "-".repeat(w)).join(" ".repeat(gap))]
    : [];
  return [...head, ...rows.map(line)].join("\n");
}

/** Breaks a sentence at blanks so that no line is longer than `width`; following lines are indented. */
export function wrap(text: string, width: number, indent = ""): string {
  const lines: string[] = [];
  // Blanks in front belong to the first line.
  const lead = /^ */.exec(text)?.[0] ?? "";
  let line = "";
  for (const [i, bare] of text.slice(lead.length).split(" ").entries()) {
    const word = i === 0 ? lead + bare : bare;
    if (line !== "" && cells(line) + 1 + cells(word) > width) {
      lines.push(line);
      line = indent + word;
    } else line = line === "" ? (lines.length === 0 ? word : indent + word) : `${line} ${word}`;
  }
  if (line !== "") lines.push(line);
  return lines.join("\n");
}
