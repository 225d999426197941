import { expect, test } from "vitest";
import { elevationWindow, type ElevationLimit, type ElevationSection } from "./elevation.ts";

const limit = (volts: number): ElevationLimit => ({ volts, trust: "ok", source: "test" });
const follower: ElevationSection = {
  id: "L.V1b",
  tube: "12AU7A",
  limits: { positive: { dc: limit(100), peak: limit(200) }, negative: { dc: limit(200), peak: limit(200) } },
  states: [
    {
      condition: "running",
      cathodeVoltsHigh: 170,
      cathodeVoltsLow: 170,
      swingUpVolts: 10,
      swingDownVolts: 10,
      heaterPeakVolts: 4.5,
      factor: 1,
    },
    {
      condition: "cold",
      cathodeVoltsHigh: 0,
      cathodeVoltsLow: 0,
      swingUpVolts: 0,
      swingDownVolts: 0,
      heaterPeakVolts: 4.5,
      factor: 1.1,
    },
  ],
};
test("a follower at 170 V with 100 V dc of heater-cathode wants 70 V or more", () => {
  const window = elevationWindow([follower]);
  expect(window).toMatchObject({ kind: "window", low: 70, verified: true });
  if (window.kind === "window") expect(window.high).toBeCloseTo((200 - 4.5) / 1.1, 12);
});
