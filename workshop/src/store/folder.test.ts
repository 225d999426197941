import { expect, test } from "vitest";
import { dataFolder, shopFileIn } from "./folder.ts";

test.each([
  ["linux", { HOME: "/home/b" }, "/home/b/.local/share/platewright"],
  ["linux", { HOME: "/home/b", XDG_DATA_HOME: "/data" }, "/data/platewright"],
  ["linux", { HOME: "/home/b", XDG_DATA_HOME: "data" }, "/home/b/.local/share/platewright"],
  ["freebsd", { HOME: "/home/b" }, "/home/b/.local/share/platewright"],
  ["darwin", { HOME: "/Users/b", XDG_DATA_HOME: "/data" }, "/Users/b/Library/Application Support/Platewright"],
  ["win32", { USERPROFILE: "C:\\Users\\b" }, "C:\\Users\\b\\AppData\\Local\\Platewright"],
  ["win32", { USERPROFILE: "C:\\Users\\b", LOCALAPPDATA: "D:\\Local" }, "D:\\Local\\Platewright"],
  ["linux", { HOME: "/home/b", PLATEWRIGHT_DATA: "/mnt/shop" }, "/mnt/shop"],
] as const)("%s keeps it in the usual place, or where it is told: %j", (platform, env, folder) => {
  expect(dataFolder(env, platform)).toEqual({ ok: true, value: folder });
});

test("without a home it says what to do", () => {
  const none = dataFolder({}, "linux");
  expect(none.ok ? "" : none.failure.sentence).toMatch(/PLATEWRIGHT_DATA or --data/);
  expect(shopFileIn("/data", "linux")).toBe("/data/shop.sqlite");
});
