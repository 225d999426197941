/** A complaint about a document: its place, and one sentence that begins with it. */
export interface Wrong {
  readonly place: string;
  readonly sentence: string;
}

export const wrong = (place: string, says: string): Wrong => ({ place, sentence: `${place}: ${says}` });

export function duplicate(place: string, list: readonly { readonly id: string }[]): Wrong | undefined {
  const seen = new Set<string>();
  for (const { id } of list) {
    if (seen.has(id)) return wrong(`${place}[${id}]`, "two have this id; each needs its own.");
    seen.add(id);
  }
  return undefined;
}
