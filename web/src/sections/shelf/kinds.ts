import type { ShelfFile } from "@platewright/design";

/** How many kinds of things are on the shelf. */
export const kindsOf = ({ tubes, transformers, capacitors, resistors }: ShelfFile): number =>
  tubes.filter((one) => one.count > 0).length + transformers.length + capacitors.length + resistors.length;
