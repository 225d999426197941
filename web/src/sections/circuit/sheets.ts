/** Which drawings a design has: equal channels once, the supply, and every other instance. */
import { type Document, expand } from "@platewright/design";

export interface SheetChoice {
  readonly instance: string;
  readonly words: string;
  /** Instances that this one stands for. */
  readonly instances: readonly string[];
  readonly isChannel: boolean;
}

export function sheetsOf(document: Document): readonly SheetChoice[] {
  const all = expand(document);
  if (!all.ok) return [];
  const { channels, equalTo, parts } = all.value;
  const drawn = document.instances.filter(({ id }) => !equalTo.has(id) && parts.some((part) => part.instance === id));
  return drawn.map(({ id, label }) => {
    const twins = document.instances.filter((one) => equalTo.get(one.id) === id).map((one) => one.id);
    const isChannel = channels.some((one) => one.instance === id);
    return {
      instance: id,
      instances: [id, ...twins],
      isChannel,
      words:
        twins.length > 0 ? `${twins.length === 1 ? "Both" : `All ${twins.length + 1}`} channels` : named(label ?? id),
    };
  });
}

const named = (words: string): string => `${words.slice(0, 1).toUpperCase()}${words.slice(1)}`;
