import { expect, test } from "vitest";
import { hertz } from "../units/quantities.ts";
import { portModel } from "./ports.ts";
import { channel, GRID, ready } from "./test-circuits.ts";

test.each([
  [6, 16],
  [16, 6],
  [8, 8],
])("a model that takes over %i harmonics equals one made afresh with %i", (before, now) => {
  const { circuit, bias } = ready(channel({ gridA: GRID, gridB: GRID }));
  const options = {
    source: circuit.sources.find((one) => one.kind === "ac")?.id ?? "",
    hertz: hertz(1000),
    observers: [circuit.map.nets[2] ?? "0", circuit.map.nets[4] ?? "0"],
    linear: [circuit.devices[1]?.id ?? ""],
    bias,
  };
  const known = portModel(circuit, { ...options, harmonics: before });
  const fresh = portModel(circuit, { ...options, harmonics: now });
  if (!known.ok || !fresh.ok) throw new Error("no port model");
  const taken = portModel(circuit, { ...options, harmonics: now, known: known.value });
  expect(taken).toEqual(fresh);
  expect(fresh.value.impedanceReal.some((z) => z !== 0)).toBe(true);
});
