/** A Change in one line of a builder's words: "R4 in every channel: 680 → 820", "V1: 5687 → 12BH7A". */
import type { Change } from "../findings.ts";
import type { Document } from "./schema.ts";

/** Fields of parts and bottles as they are spoken of; any other is named as it is. */
const FIELDS: Readonly<Record<string, string>> = {
  value: "",
  type: "",
  watts: "rated watts",
  volts: "rated volts",
  position: "position",
  tolerancePercent: "tolerance",
  wiring: "wiring of its socket",
  socket: "socket",
  variant: "version",
  seriesOhms: "series resistance",
  pins: "connections",
};

export function changeWords(change: Change, document?: Document): string {
  const { target } = change;
  const values = `${written(change.before)} → ${written(change.after)}`;
  const part = /^blocks\.([^.]+)\.parts\[([^\]]+)\](?:\.(.+))?$/.exec(target);
  if (part !== null) {
    const [, block = "", id = "", field] = part;
    const many = document === undefined ? 0 : document.instances.filter((one) => one.block === block).length;
    return line(`${id}${many > 1 ? " in every channel" : ""}`, field, change, values);
  }
  const own = /^instances\[([^\]]+)\]\.overrides(?:\.([^.]+)(?:\.(.+))?)?$/.exec(target);
  if (own !== null) return line(`${own[2] ?? "parts"} in ${own[1] ?? ""} alone`, own[3], change, values);
  const bottle = /^envelopes\[([^\]]+)\](?:\.(.+))?$/.exec(target);
  if (bottle !== null) {
    const [, id = "", field = ""] = bottle;
    const pin = /^wiring(?:\.|\[)?(\w+)?/.exec(field);
    if (pin !== null) return `${id}: wires on its socket${pin[1] === undefined ? "" : `, pin ${pin[1]}`}`;
    return line(id, field === "" ? undefined : field, change, values);
  }
  const supply = /^supply\.(.+)$/.exec(target);
  if (supply !== null) return `supply, ${spaced(supply[1] ?? "")}: ${values}`;
  if (target === "name") return `name: ${values}`;
  return `${spaced(target)}: ${values}`;
}

function line(subject: string, field: string | undefined, { before, after }: Change, values: string): string {
  if (field === undefined) {
    if (before === undefined) return `${subject}: added`;
    if (after === undefined) return `${subject}: taken out`;
    return `${subject}: changed`;
  }
  const words = FIELDS[field] ?? spaced(field);
  return words === "" ? `${subject}: ${values}` : `${subject}, ${words}: ${values}`;
}

/** "rectifier.seriesOhms" → "rectifier series ohms". */
const spaced = (path: string): string =>
  path
    .replace(/[.[\]]+/g, " ")
    .replace(/([a-z])([A-Z])/g, "$1 $2")
    .toLowerCase()
    .trim();

const LONGEST = 40;

function written(value: unknown): string {
  if (value === undefined) return "none";
  if (typeof value === "string" || typeof value === "number") return String(value);
  if (typeof value === "boolean") return value ? "yes" : "no";
  const text = JSON.stringify(value);
  return text.length > LONGEST ? "a set of values" : text;
}
