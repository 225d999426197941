/**
 * The page's files. Only names that the build wrote are served: what is asked is looked up in a list of them and never made
 * into a path, so that no way of writing "one folder up" leads anywhere.
 */
import { existsSync, readdirSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { extname, join, relative, sep } from "node:path";

export interface PageFile {
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly headers: Readonly<Record<string, string>>;
}

/** A file by the path of its address; undefined when there is none of that name. */
export type Page = (path: string, acceptEncoding: string) => Promise<PageFile | undefined>;

const TYPES: Readonly<Record<string, string>> = {
  ".html": "text/html; charset=utf-8",
  ".css": "text/css; charset=utf-8",
  ".js": "text/javascript; charset=utf-8",
  ".json": "application/json; charset=utf-8",
  ".svg": "image/svg+xml",
  ".png": "image/png",
  ".ico": "image/x-icon",
  ".woff2": "font/woff2",
};

/** Better first. */
const ENCODINGS = [
  { name: "br", ending: ".br" },
  { name: "gzip", ending: ".gz" },
] as const;

export function pageIn(folder: string): Page {
  let files = filesIn(folder);
  return async (path, acceptEncoding) => {
    const name = path === "/" ? "/index.html" : path;
    // The page may have been built again; all its files are asked for after this one.
    if (name === "/index.html") files = filesIn(folder);
    const file = files.get(name);
    if (file === undefined || ENCODINGS.some(({ ending }) => name.endsWith(ending))) return undefined;
    const encoding = ENCODINGS.find(
      ({ name: one, ending }) => files.has(`${name}${ending}`) && accepts(acceptEncoding, one),
    );
    const type = TYPES[extname(name)] ?? "application/octet-stream";
    const bytes = await readFile(`${file}${encoding?.ending ?? ""}`);
    return {
      bytes: new Uint8Array(bytes),
      headers: {
        "content-type": type,
        "cache-control": name.startsWith("/assets/") ? "public, max-age=31536000, immutable" : "no-cache",
        vary: "accept-encoding",
        ...(encoding === undefined ? {} : { "content-encoding": encoding.name }),
      },
    };
  };
}

/** Regular files by address path; a link could lead out of the folder and is left out. */
function filesIn(folder: string): ReadonlyMap<string, string> {
  if (!existsSync(folder)) return new Map();
  return new Map(
    readdirSync(folder, { withFileTypes: true, recursive: true })
      .filter((one) => one.isFile())
      .map((one) => join(one.parentPath, one.name))
      .map((file) => [`/${relative(folder, file).split(sep).join("/")}`, file]),
  );
}

/** Whether an Accept-Encoding header takes an encoding: "br;q=0" does not. */
export function accepts(header: string, encoding: string): boolean {
  return header.split(",").some((one) => {
    const [name = "", ...parameters] = one.split(";").map((piece) => piece.trim().toLowerCase());
    return (name === encoding || name === "*") && !parameters.some((piece) => /^q=0(\.0*)?$/.test(piece));
  });
}
