import type { FootprintKind } from "@platewright/engine";

/** In the order in which a plate is filled. */
export const FOOTPRINT_KINDS: readonly { readonly value: FootprintKind; readonly words: string }[] = [
  { value: "socket", words: "Tube sockets" },
  { value: "can", words: "Can capacitors" },
  { value: "transformer", words: "Transformers" },
  { value: "toroid", words: "Ring cores" },
  { value: "choke", words: "Chokes" },
  { value: "potentiometer", words: "Potentiometers" },
  { value: "jack", words: "Jacks" },
  { value: "terminal", words: "Binding posts" },
  { value: "inlet", words: "Mains inlets" },
  { value: "gland", words: "Cable glands" },
  { value: "switch", words: "Switches" },
  { value: "fuse-holder", words: "Fuse holders" },
  { value: "lamp", words: "Lamps" },
  { value: "stand-off", words: "Stand-offs" },
  { value: "tag-strip", words: "Tag strips" },
  { value: "earth-stud", words: "Earth studs" },
];

/** What is a fitting, part of no circuit: it is placed here; everything else waits beside the plate. */
export const FITTINGS: ReadonlySet<FootprintKind> = new Set([
  "terminal",
  "inlet",
  "gland",
  "switch",
  "fuse-holder",
  "lamp",
  "stand-off",
  "tag-strip",
  "earth-stud",
]);

/** What a fitting is called on the plate when nothing else is written. */
export const FITTING_NAMES: Readonly<Partial<Record<FootprintKind, string>>> = {
  lamp: "LAMP",
  switch: "SWITCH",
  "fuse-holder": "FUSE",
  inlet: "INLET",
  gland: "GLAND",
  "earth-stud": "EARTH",
  "stand-off": "POST",
  "tag-strip": "TAGS",
  terminal: "TERMINAL",
};
