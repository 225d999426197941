/** What a command touches outside itself, so that tests run commands without a process or a disk. */
import { existsSync, readFileSync, renameSync, statSync, writeFileSync } from "node:fs";
import type { PackWriters } from "./commands/pack.ts";
import { BadInput } from "./outcome.ts";
import type { Store } from "./store/store.ts";

export interface Io {
  readonly out: (text: string) => void;
  readonly error: (text: string) => void;
  /** Text of a file; throws BadInput with one sentence when it cannot be read. */
  readonly read: (path: string) => string;
  readonly write: (path: string, text: string) => void;
  readonly exists: (path: string) => boolean;
  readonly errorIsTerminal: boolean;
  readonly now: () => number;
  /** Opens the shop, where one is at hand; throws BadInput with one sentence when it cannot be opened. */
  readonly shop?: () => Store;
  /** What writes the papers, where the verb asks for it. */
  readonly pack?: PackWriters;
}

/** No design comes near; a file this large is not even read. */
const LARGEST_BYTES = 20_000_000;

const CAUSES: Readonly<Record<string, string>> = {
  ENOENT: "there is no such file",
  EACCES: "it may not be opened",
  EPERM: "it may not be opened",
  EISDIR: "it is a folder",
  ENOSPC: "the disk is full",
  EROFS: "the disk is read-only",
  ENOTDIR: "a part of the path is no folder",
};

const causeOf = (error: unknown): string => {
  const code = error instanceof Error && "code" in error ? String(error.code) : "";
  return CAUSES[code] ?? "it cannot be used";
};

export function processIo(): Io {
  return {
    out: (text) => void process.stdout.write(text),
    error: (text) => void process.stderr.write(text),
    read: (path) => {
      try {
        const { size } = statSync(path);
        if (size > LARGEST_BYTES)
          throw new BadInput(`${path}: the file has ${Math.round(size / 1e6)} MB; 10 MB is the most that is read.`);
        return readFileSync(path, "utf8");
      } catch (error) {
        if (error instanceof BadInput) throw error;
        throw new BadInput(`${path}: ${causeOf(error)}.`);
      }
    },
    // Written beside and renamed, so that a cut never leaves half a file.
    write: (path, text) => {
      const beside = `${path}.writing`;
      try {
        writeFileSync(beside, text);
        renameSync(beside, path);
      } catch (error) {
        throw new BadInput(`${path}: it cannot be written, ${causeOf(error)}.`);
      }
    },
    exists: existsSync,
    errorIsTerminal: process.stderr.isTTY,
    now: () => performance.now(),
  };
}
