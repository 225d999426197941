/** What a plate is made of, in the order of how often it is. */
export const MATERIALS = [
  { value: "aluminium", words: "Aluminium" },
  { value: "steel", words: "Steel" },
  { value: "brass", words: "Brass" },
  { value: "copper", words: "Copper" },
] as const;
