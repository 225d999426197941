/** Paper round the plate for its ordinates, millimetres of the sheet: the same while things move, so that nothing jumps. */
export const PLATE_MARGINS = { side: 14, otherSide: 6, rear: 8, front: 14 } as const;

/** Millimetres of the sheet to one of the plate, so that the plate with its ordinates takes the width. */
export const scaleFor = (plateMillimetres: number, width: number): number =>
  Math.floor((1000 * Math.max(20, width - PLATE_MARGINS.side - PLATE_MARGINS.otherSide)) / plateMillimetres) / 1000;
