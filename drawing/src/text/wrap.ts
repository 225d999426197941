import { textWidth } from "./text-width.ts";

/** Lines of words that each fit a width (in the unit of `size`); a word that is too long alone is broken. */
export function wrap(text: string, width: number, size: number, bold = false): readonly string[] {
  const fits = (line: string) => textWidth(line, size, bold) <= width;
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(/[ \t\r\n]+/)) {
    const longer = line === "" ? word : `${line} ${word}`;
    if (fits(longer)) {
      line = longer;
      continue;
    }
    if (line !== "") lines.push(line);
    line = "";
    for (const char of word) {
      if (line !== "" && !fits(line + char)) {
        lines.push(line);
        line = "";
      }
      line += char;
    }
  }
  return line === "" ? lines : [...lines, line];
}

/** The text, or as much of its beginning as fits before an ellipsis. */
export function shorten(text: string, width: number, size: number, bold = false): string {
  if (textWidth(text, size, bold) <= width) return text;
  const chars = [...text];
  while (chars.length > 0 && textWidth(`${chars.join("")}…`, size, bold) > width) chars.pop();
  return `${chars.join("").trimEnd()}…`;
}
