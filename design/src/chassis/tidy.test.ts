import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { applyChanges } from "../document/change.ts";
import { checkDocument } from "../document/read.ts";
import type { Document } from "../document/schema.ts";
import { demoOf } from "./test-chassis.ts";
import { chassisAfter } from "./tidy.ts";

const demo = demoOf(readFileSync("examples/hearth/hearth.design.json", "utf8"));
const sound = (document: Document) => checkDocument(JSON.parse(JSON.stringify(document)));

test("nothing leaves a chassis whose parts are all there", () => expect(chassisAfter(demo)).toEqual([]));

test("a rectifier of silicon takes its bottle's socket off; the holes stay and serve nothing", () => {
  const silicon: Document = {
    ...demo,
    envelopes: demo.envelopes.filter((one) => one.id !== "V3"),
    supply: {
      ...(demo.supply as NonNullable<Document["supply"]>),
      rectifier: { output: "B1", firstCapacitor: "PS.C1", silicon: { type: "1N4007", volts: 1000, amps: 1 } },
    },
  };
  expect(sound(silicon).ok).toBe(false);
  const tidied = applyChanges(silicon, chassisAfter(silicon));
  if (!tidied.ok) throw new Error(tidied.failure.sentence);
  expect(sound(tidied.value).ok).toBe(true);
  expect(tidied.value.chassis?.items.map((one) => one.id)).not.toContain("V3");
  expect(tidied.value.chassis?.holes.find((one) => one.id === "H3")).not.toHaveProperty("serves");
  expect(tidied.value.chassis?.holes).toHaveLength(demo.chassis.holes.length);
});

test("one gang of a pot gone leaves the other; both gone take the pot off, and what was decided for it", () => {
  const { R: _, ...instances } = Object.fromEntries(demo.instances.map((one) => [one.id, one]));
  const mono = {
    ...demo,
    instances: Object.values(instances),
    envelopes: demo.envelopes.filter((one) => one.id !== "V2"),
  };
  const decided = {
    ...mono,
    chassis: { ...demo.chassis, salvage: [{ hole: "H2", item: "V2", by: "keep" as const }] },
  };
  const tidied = applyChanges(decided, chassisAfter(decided));
  if (!tidied.ok) throw new Error(tidied.failure.sentence);
  expect(sound(tidied.value).ok).toBe(true);
  const items = tidied.value.chassis?.items ?? [];
  expect(items.find((one) => one.id === "DRIVE")?.what).toEqual({ part: "L.P1" });
  expect(items.map((one) => one.id)).not.toContain("IN-R");
  expect(tidied.value.chassis?.salvage).toEqual([]);
});
