/** The lines of an ASCII DXF as pairs of code and value, section by section. Pure; never throws. */
import { fail, ok, type Result } from "@platewright/engine";

export interface Tag {
  readonly code: number;
  readonly value: string;
}

/** Entities as their own tags: the first is the kind. */
export interface DxfSections {
  /** "$INSUNITS" → its first value. */
  readonly header: ReadonlyMap<string, string>;
  readonly entities: readonly (readonly Tag[])[];
}

/** What is read at most. A plate has some hundred lines. */
export const MOST_CHARACTERS = 8_000_000;
export const MOST_TAGS = 1_000_000;

const NOT_DXF = "is not a DXF: save the drawing as DXF (ASCII), any version from R12 to 2018.";

export function sectionsOf(text: string): Result<DxfSections, string> {
  if (text.length > MOST_CHARACTERS)
    return fail(
      `has ${text.length} characters; ${MOST_CHARACTERS} are read at most. Save only the plate's outline and holes.`,
    );
  if (/^\w+ Binary DXF\b/.test(text)) return fail("is a binary DXF: save it as ASCII DXF.");
  // A mark of the encoding may stand first; comments (999) may stand anywhere.
  const lines = text.replace(/^\uFEFF/, "").split(/\r\n|\n|\r/);
  if (lines.length > 2 * MOST_TAGS)
    return fail(
      `has ${lines.length} lines; ${2 * MOST_TAGS} are read at most. Save only the plate's outline and holes.`,
    );
  const header = new Map<string, string>();
  const entities: Tag[][] = [];
  let section = "";
  let named = "";
  let seen = false;
  let ended = false;
  for (let n = 0; n + 1 < lines.length; n += 2) {
    const written = (lines[n] ?? "").trim();
    if (!/^-?\d{1,4}$/.test(written)) {
      if (!seen) return fail(NOT_DXF);
      return fail(`is damaged in line ${n + 1}: '${written.slice(0, 20)}' stands where a group code should.`);
    }
    const code = Number(written);
    const value = (lines[n + 1] ?? "").trim();
    if (code === 999) continue;
    if (code === 0 && value === "SECTION") {
      seen = true;
      section = "?";
      continue;
    }
    if (!seen) return fail(NOT_DXF);
    if (code === 0 && value === "EOF") {
      ended = true;
      break;
    }
    if (section === "?" && code === 2) section = value;
    else if (code === 0 && value === "ENDSEC") section = "";
    else if (section === "HEADER") {
      if (code === 9) named = value;
      else if (named !== "" && !header.has(named)) header.set(named, value);
    } else if (section === "ENTITIES") {
      if (code === 0) entities.push([{ code, value }]);
      else entities[entities.length - 1]?.push({ code, value });
    }
  }
  if (!seen) return fail(NOT_DXF);
  if (!ended) return fail("ends before its end: EOF is missing. Save or download it again.");
  return ok({ header, entities });
}
