/** Where a shop is kept: the usual place of the platform, or where the builder says. */
import { posix, win32 } from "node:path";
import { ok } from "@platewright/engine";
import { refuse } from "./refuse.ts";
import type { Stored } from "./store.ts";

/** Names the folder instead of the usual place. */
export const FOLDER_VARIABLE = "PLATEWRIGHT_DATA";

/** The folder for the user's data, by the environment and the platform ("linux", "darwin", "win32" …). */
export function dataFolder(env: Readonly<Record<string, string | undefined>>, platform: string): Stored<string> {
  const path = platform === "win32" ? win32 : posix;
  const said = absolute(path, env[FOLDER_VARIABLE]);
  if (said !== undefined) return ok(said);
  const home = absolute(path, platform === "win32" ? env.USERPROFILE : env.HOME);
  const base =
    platform === "win32"
      ? (absolute(path, env.LOCALAPPDATA) ?? under(path, home, "AppData", "Local"))
      : platform === "darwin"
        ? under(path, home, "Library", "Application Support")
        : // A relative XDG_DATA_HOME is to be ignored, says the XDG base directory specification.
          (absolute(path, env.XDG_DATA_HOME) ?? under(path, home, ".local", "share"));
  return base === undefined
    ? refuse("no-folder", `There is no home folder to keep the shop in; name one by ${FOLDER_VARIABLE} or --data.`)
    : ok(path.join(base, platform === "win32" || platform === "darwin" ? "Platewright" : "platewright"));
}

/** The shop's file in a folder. */
export const shopFileIn = (folder: string, platform: string): string =>
  (platform === "win32" ? win32 : posix).join(folder, "shop.sqlite");

const absolute = (path: typeof posix, said: string | undefined): string | undefined =>
  said !== undefined && path.isAbsolute(said) ? said : undefined;

const under = (path: typeof posix, home: string | undefined, ...names: readonly string[]): string | undefined =>
  home === undefined ? undefined : path.join(home, ...names);
