/** Keys and names: of what is made from a builder's words, and of a line that two hands parted. */

const MOST_KEY = 40;

/** "Hearth line box" → "hearth-line-box"; one that is not taken. */
export function keyFor(words: string, taken: ReadonlySet<string>): string {
  const plain = words
    .normalize("NFKD")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .slice(0, MOST_KEY)
    .replace(/^-+|-+$/g, "");
  const stem = plain === "" ? "unnamed" : plain;
  return firstFree(stem, (n) => `${stem}-${n}`, taken);
}

/** The name itself, or "name (2)" when it is taken. */
export const nameFor = (name: string, taken: ReadonlySet<string>): string =>
  firstFree(name, (n) => `${name} (${n})`, taken);

function firstFree(first: string, numbered: (n: number) => string, taken: ReadonlySet<string>): string {
  if (!taken.has(first)) return first;
  for (let n = 2; ; n++) if (!taken.has(numbered(n))) return numbered(n);
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"] as const;

/** "27 Nov 18:40", by the clock on the builder's wall. */
export function clockWords(iso: string): string {
  const at = new Date(iso);
  const two = (n: number) => String(n).padStart(2, "0");
  return `${at.getDate()} ${MONTHS[at.getMonth()] ?? ""} ${two(at.getHours())}:${two(at.getMinutes())}`;
}

/** "2026-11-27", by the clock on the builder's wall. */
export function dayOf(iso: string): string {
  const at = new Date(iso);
  const two = (n: number) => String(n).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

export const siblingName = (of: string, iso: string): string => `${of}, other hand ${clockWords(iso)}`;
