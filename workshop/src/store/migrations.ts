/**
 * The file's tables. Append only: a migration that has run on somebody's disk is never edited; `user_version` counts
 * those that have run. Each one changes the tables, if only by a view: a file is known by them when its head is damaged. `sum` is the SHA-256 of the row (see rows.ts), so that a byte that flips on the disk is noticed.
 */

/** "PLWT": says that an SQLite file is a shop. */
export const APPLICATION_ID = 0x504c5754;

/** Tables of the record: rows are only ever added. */
const RECORD = ["designs", "names", "lines", "steps", "revisions", "pins", "troubles", "remains"] as const;

const neverAltered = RECORD.map(
  (table) => `
  CREATE TRIGGER ${table}_stay BEFORE UPDATE ON ${table} BEGIN SELECT RAISE(ABORT, '${table}: rows are never altered'); END;
  CREATE TRIGGER ${table}_keep BEFORE DELETE ON ${table} BEGIN SELECT RAISE(ABORT, '${table}: rows are never deleted'); END;`,
).join("");

export const MIGRATIONS: readonly string[] = [
  `
  CREATE TABLE designs (
    key TEXT NOT NULL PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('design', 'shelf')),
    at TEXT NOT NULL,
    sum TEXT NOT NULL
  ) STRICT;
  CREATE TABLE names (
    design TEXT NOT NULL REFERENCES designs (key),
    name TEXT NOT NULL,
    at TEXT NOT NULL,
    sum TEXT NOT NULL
  ) STRICT;
  CREATE INDEX names_by_design ON names (design);
  CREATE TABLE lines (
    design TEXT NOT NULL REFERENCES designs (key),
    key TEXT NOT NULL,
    name TEXT NOT NULL,
    why TEXT NOT NULL,
    fromLine TEXT,
    fromRevision TEXT,
    fromSeq INTEGER,
    base TEXT NOT NULL,
    at TEXT NOT NULL,
    sum TEXT NOT NULL,
    PRIMARY KEY (design, key)
  ) STRICT;
  CREATE TABLE steps (
    design TEXT NOT NULL,
    line TEXT NOT NULL,
    seq INTEGER NOT NULL CHECK (seq > 0),
    id TEXT NOT NULL,
    title TEXT NOT NULL,
    changes TEXT NOT NULL,
    undoes TEXT,
    redoes TEXT,
    at TEXT NOT NULL,
    sum TEXT NOT NULL,
    PRIMARY KEY (design, line, seq),
    UNIQUE (design, id),
    FOREIGN KEY (design, line) REFERENCES lines (design, key)
  ) STRICT;
  CREATE TABLE revisions (
    design TEXT NOT NULL,
    id TEXT NOT NULL,
    note TEXT,
    cutOn TEXT,
    line TEXT NOT NULL,
    seq INTEGER NOT NULL,
    document TEXT NOT NULL,
    frozen TEXT NOT NULL,
    at TEXT NOT NULL,
    sum TEXT NOT NULL,
    PRIMARY KEY (design, id),
    FOREIGN KEY (design, line) REFERENCES lines (design, key)
  ) STRICT;
  CREATE TABLE pins (
    design TEXT NOT NULL,
    revision TEXT NOT NULL,
    at TEXT NOT NULL,
    sum TEXT NOT NULL,
    FOREIGN KEY (design, revision) REFERENCES revisions (design, id)
  ) STRICT;
  CREATE INDEX pins_by_design ON pins (design);
  CREATE TABLE snapshots (
    design TEXT NOT NULL,
    line TEXT NOT NULL,
    seq INTEGER NOT NULL,
    document TEXT NOT NULL,
    sum TEXT NOT NULL,
    PRIMARY KEY (design, line, seq)
  ) STRICT;
  CREATE TABLE troubles (
    sentence TEXT NOT NULL,
    at TEXT NOT NULL,
    sum TEXT NOT NULL
  ) STRICT;
  CREATE TABLE remains (
    name TEXT NOT NULL,
    row TEXT NOT NULL,
    at TEXT NOT NULL,
    sum TEXT NOT NULL
  ) STRICT;
  ${neverAltered}
  `,
];
