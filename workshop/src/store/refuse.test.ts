import { expect, test } from "vitest";
import { DamagedRow, refusalOf } from "./refuse.ts";

const withCode = (code: string) => Object.assign(new Error("from below"), { code });

test.each([
  ["SQLITE_BUSY", "busy"],
  ["SQLITE_BUSY_SNAPSHOT", "busy"],
  ["SQLITE_FULL", "disk-full"],
  ["ENOSPC", "disk-full"],
  ["SQLITE_READONLY_DBMOVED", "read-only"],
  ["EACCES", "read-only"],
  ["SQLITE_CORRUPT_INDEX", "damaged"],
  ["SQLITE_NOTADB", "damaged"],
  ["SQLITE_IOERR_WRITE", "disk"],
  ["ENOTDIR", "no-folder"],
])("%s is said as %s, in one sentence that says what to do", (code, refusal) => {
  const found = refusalOf(withCode(code));
  expect(found?.code).toBe(refusal);
  expect(found?.sentence).toMatch(/^[A-Z].{30,}\.$/);
});

test("a broken promise of our own is no refusal", () => {
  expect(refusalOf(new Error("a line without a base"))).toBeUndefined();
  expect(refusalOf(withCode("SQLITE_CONSTRAINT_TRIGGER"))).toBeUndefined();
  expect(refusalOf(new DamagedRow("A row is not as it was written."))?.code).toBe("damaged");
});
