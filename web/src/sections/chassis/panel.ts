/** What is chosen on the plate: an item, a hole of the document or a row of the hole table ("V3/body"); every panel hears and tells it. */
export interface Chosen {
  readonly item?: string;
  readonly hole?: string;
}

export interface PanelProps {
  readonly chosen: Chosen | undefined;
  readonly onChoose: (chosen: Chosen | undefined) => void;
}
