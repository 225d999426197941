/** A node by what is tied there. */
import type { Document } from "@platewright/design";

const ELECTRODES: readonly string[] = ["plate", "grid", "cathode"];

/** "V1a plate, R3, C2"; the name of a net that leaves the instance goes first. */
export function netWords(document: Document, instance: string, net: string): string {
  const owner = document.instances.find((one) => one.id === instance);
  const parts = document.blocks[owner?.block ?? ""]?.parts ?? [];
  const local = net.startsWith(`${instance}.`)
    ? net.slice(instance.length + 1)
    : Object.entries(owner?.ports ?? {}).find(([, outside]) => outside === net)?.[0];
  const tied = parts.flatMap((part) =>
    Object.entries(part.pins as Record<string, string>).flatMap(([pin, at]) =>
      at === local
        ? [{ words: ELECTRODES.includes(pin) ? `${part.id} ${pin}` : part.id, tube: part.kind === "triode" }]
        : [],
    ),
  );
  const words = tied.toSorted((a, b) => Number(b.tube) - Number(a.tube)).map((one) => one.words);
  return [...(net.startsWith(`${instance}.`) ? [] : [net]), ...new Set(words)].join(", ");
}
