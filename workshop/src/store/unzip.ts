/** Unpacks a shop archive in memory, within limits that are checked before anything is unpacked. */
import { ok } from "@platewright/engine";
import { unzipSync } from "fflate";
import type { z } from "zod";
import {
  ARCHIVE_FORMAT,
  ARCHIVE_MIGRATIONS,
  MANIFEST,
  manifestSchema,
  MEMBER_NAME,
  MOST_MEMBER_BYTES,
  MOST_MEMBERS,
  MOST_UNPACKED_BYTES,
} from "./archive-format.ts";
import { sha256 } from "./canonical.ts";
import { refuse } from "./refuse.ts";
import type { Stored } from "./store.ts";

/** The members of an archive by name, each with the checksum that the manifest gives; the manifest itself left out. */
export function unpackArchive(bytes: Uint8Array): Stored<ReadonlyMap<string, string>> {
  const unpacked = unpack(bytes);
  if (!unpacked.ok) return unpacked;
  const manifest = manifestIn(unpacked.value);
  if (!manifest.ok) return manifest;
  const members = new Map<string, string>();
  for (const { path, bytes: length, sha256: sum } of manifest.value.members) {
    const data = unpacked.value.get(path);
    if (data === undefined)
      return refuse("archive-incomplete", `The archive's ${path} is missing; nothing was taken in.`);
    if (data.length !== length || sha256(data) !== sum)
      return refuse(
        "checksum",
        `The checksum of ${path} in the archive is not right: it was altered or cut on the way. Nothing was taken in.`,
      );
    members.set(path, new TextDecoder().decode(data));
  }
  for (const path of unpacked.value.keys())
    if (path !== MANIFEST && !members.has(path))
      return refuse("archive-names", `The archive's manifest says nothing of ${path}; nothing was taken in.`);
  return ok(members);
}

function unpack(bytes: Uint8Array): Stored<ReadonlyMap<string, Uint8Array>> {
  let refused: Stored<never> | undefined;
  let total = 0;
  const names = new Set<string>();
  const look = ({ name, originalSize }: { readonly name: string; readonly originalSize: number }): boolean => {
    total += originalSize;
    if (name !== MANIFEST && !MEMBER_NAME.test(name))
      refused ??= refuse(
        "archive-names",
        `The archive holds ${JSON.stringify(name.slice(0, 60))}, which no shop archive does; nothing was taken in.`,
      );
    else if (names.has(name) || names.size >= MOST_MEMBERS)
      refused ??= refuse("archive-names", "The archive holds a name twice, or too many; nothing was taken in.");
    else if (originalSize > MOST_MEMBER_BYTES || total > MOST_UNPACKED_BYTES)
      refused ??= refuse(
        "archive-too-large",
        `Unpacked the archive would have ${Math.ceil(total / 1e6)} MB or more; ${MOST_UNPACKED_BYTES / 1e6} MB is the most that is read.`,
      );
    names.add(name);
    return refused === undefined;
  };
  try {
    // Looked through whole before the first member is unpacked.
    unzipSync(bytes, { filter: (member) => look(member) && false });
    if (refused !== undefined) return refused;
    return ok(new Map(Object.entries(unzipSync(bytes))));
  } catch {
    return refuse(
      "archive-damaged",
      "The archive cannot be unpacked: it was cut or altered on the way. Nothing was taken in.",
    );
  }
}

function manifestIn(members: ReadonlyMap<string, Uint8Array>): Stored<z.infer<typeof manifestSchema>> {
  const given = jsonOf(new TextDecoder().decode(members.get(MANIFEST) ?? new Uint8Array()));
  const format = (given as { readonly format?: unknown } | undefined)?.format;
  if (typeof format === "string" && format.startsWith("platewright/shop@") && format !== ARCHIVE_FORMAT)
    return refuse("newer-archive", `The archive was written by a newer version (${format}); update Platewright.`);
  const manifest = manifestSchema.safeParse(given);
  if (!manifest.success)
    return refuse("not-an-archive", `The zip holds no shop: its ${MANIFEST} is missing or says something else.`);
  if (manifest.data.migrations.some((name) => !ARCHIVE_MIGRATIONS.includes(name)))
    return refuse("newer-archive", "The archive's documents were written by a newer version; update Platewright.");
  return ok(manifest.data);
}

/** What a text holds as JSON; undefined when it is none. */
export function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return undefined;
  }
}
