/** What is chosen on the plate: an item, a hole, or a hole of an item. Every panel of the sheet shows and sets it. */
export interface Chosen {
  readonly item?: string;
  readonly hole?: string;
}

export interface ChosenProps {
  readonly chosen: Chosen | undefined;
  readonly onChoose: (chosen: Chosen | undefined) => void;
}
