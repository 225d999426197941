/** Whether a text is a day of the calendar, written like 2026-11-25. */
export function isDate(text: string): boolean {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return false;
  const day = new Date(`${text}T00:00:00Z`);
  // What the calendar lacks (31 February) would be read as a day of the next month.
  return !Number.isNaN(day.getTime()) && day.toISOString().startsWith(text);
}
