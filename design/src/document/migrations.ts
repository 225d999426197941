/**
 * Migrations in place, append only. Each has a name that is written into the file once it has run; a file written before
 * one existed gets it when it is read. Never edit or remove one: files in the world carry its name.
 */
export interface Migration {
  readonly name: string;
  /** Changes the parsed JSON of a design file; must leave a file that does not need it as it is. */
  readonly run: (file: Record<string, unknown>) => Record<string, unknown>;
}

type Plain = Record<string, unknown>;
const isPlain = (value: unknown): value is Plain =>
  typeof value === "object" && value !== null && !Array.isArray(value);

const everyDocument = (file: Plain, change: (document: Plain) => Plain): Plain => ({
  ...file,
  ...(isPlain(file.now) ? { now: change(file.now) } : {}),
  ...(Array.isArray(file.revisions)
    ? {
        revisions: file.revisions.map((revision: unknown) =>
          isPlain(revision) && isPlain(revision.document)
            ? { ...revision, document: change(revision.document) }
            : revision,
        ),
      }
    : {}),
});

export const MIGRATIONS: readonly Migration[] = [
  {
    // Early files named the level that the unit must take "maximumInputVolts".
    name: "2026-11-largest-input",
    run: (file) =>
      everyDocument(file, (document) => {
        const { targets } = document;
        if (!isPlain(targets) || !("maximumInputVolts" in targets) || "largestInputVolts" in targets) return document;
        const { maximumInputVolts, ...rest } = targets;
        return { ...document, targets: { ...rest, largestInputVolts: maximumInputVolts } };
      }),
  },
];

/** Runs what the file has not had yet, in order, and records it. */
export function migrate(file: Record<string, unknown>, migrations = MIGRATIONS): Record<string, unknown> {
  const had = Array.isArray(file.migrations) ? (file.migrations as unknown[]) : [];
  let now = file;
  const names = [...had];
  for (const { name, run } of migrations) {
    if (had.includes(name)) continue;
    now = run(now);
    names.push(name);
  }
  return { ...now, migrations: names };
}
