/** Pins in the data files' notation: "1 P2, 2 G2, 3 K2, 4 Ha, 5 Hb, 6 P1, 7 G1, 8 K1, 9 Ht". */
import { assert, type PinRole } from "@platewright/engine";

const KINDS = { P: "plate", G: "grid", K: "cathode" } as const;
const ENDS = { a: "a", b: "b", t: "tap" } as const;

function roleOf(token: string): PinRole {
  const electrode = /^([PGK])([12])$/.exec(token);
  if (electrode !== null)
    return { kind: KINDS[electrode[1] as keyof typeof KINDS], section: electrode[2] === "1" ? 1 : 2 };
  const heater = /^H([abt])$/.exec(token);
  if (heater !== null) return { kind: "heater", end: ENDS[heater[1] as keyof typeof ENDS] };
  const filament = /^HK([ab])$/.exec(token);
  if (filament !== null) return { kind: "heater-and-cathode", end: filament[1] === "a" ? "a" : "b" };
  assert(token === "S" || token === "N" || token === "I", `library data: '${token}' is not a pin role`);
  return { kind: token === "S" ? "shield" : token === "N" ? "none" : "internal" };
}

/** Pin number → role. Throws on a notation the files must not contain; the data test reads every one. */
export function readPins(text: string): Readonly<Record<string, PinRole>> {
  const pins: Record<string, PinRole> = {};
  for (const item of text.split(",")) {
    const [pin, token, rest] = item.trim().split(/\s+/);
    assert(pin !== undefined && token !== undefined && rest === undefined, `library data: '${item}' is not a pin`);
    assert(pins[pin] === undefined, `library data: pin ${pin} stands twice in '${text}'`);
    pins[pin] = roleOf(token);
  }
  return pins;
}

/** Two roles are the same connection of the tube. */
export const sameRole = (one: PinRole, other: PinRole): boolean =>
  one.kind === other.kind &&
  ("section" in one ? "section" in other && one.section === other.section : !("section" in other)) &&
  ("end" in one ? "end" in other && one.end === other.end : !("end" in other));

/** "plate 1", "heater tap", "cathode 2", "shield" ... */
export function roleWords(role: PinRole): string {
  if ("section" in role) return `${role.kind} ${role.section}`;
  if (role.kind === "heater") return role.end === "tap" ? "heater tap" : "heater";
  if (role.kind === "heater-and-cathode") return "heater and cathode";
  return role.kind === "none" ? "not connected" : role.kind === "internal" ? "internal connection" : role.kind;
}
