/** Tables as CSV (RFC 4180): comma, CRLF, quotes doubled, UTF-8 with its mark so that spreadsheets read µ and Ω. */

/** A field that a spreadsheet would take for a formula is kept as text. */
const FORMULA = /^[=+\-@\t\r]/;

export function toCsv(rows: readonly (readonly string[])[]): string {
  const field = (text: string): string => {
    const plain = FORMULA.test(text) && !/^[+-]?[\d.]+$/.test(text) ? `'${text}` : text;
    return /[",\r\n]/.test(plain) ? `"${plain.replaceAll('"', '""')}"` : plain;
  };
  return `\uFEFF${rows.map((row) => row.map(field).join(",")).join("\r\n")}\r\n`;
}
