import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { schemaFiles } from "./write-schemas.ts";

test.each([...schemaFiles()])("%s is what the code says (npm run schemas)", (path, text) => {
  expect(readFileSync(path, "utf8")).toBe(text);
});
