/** From which side the chassis is drawn, and what is shown. */
export type SideFrom = "front" | "left";

export interface SideLook {
  readonly scale: number;
  readonly from: SideFrom;
  /** Ids of items that are in hand. */
  readonly chosen?: ReadonlySet<string>;
  /** Left out: the heights stand under the drawing too. */
  readonly legend?: boolean;
}
