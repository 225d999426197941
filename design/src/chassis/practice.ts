/** Numbers of the trade for metal work and layout. Millimetres unless named; all are common practice, none is a maker's limit. */

export const PRACTICE_WORDS = "common practice";

/** Metal that must stay between two holes, in thicknesses of the plate, and at least. Less than `WEB_LEAST` tears. */
export const WEB_THICKNESSES = 1;
export const WEB_WANTED = 2;
export const WEB_LEAST = 1;
export const webWanted = (thickness: number): number => Math.max(WEB_WANTED, WEB_THICKNESSES * thickness);

/** From a hole to the edge, in thicknesses. */
export const EDGE_THICKNESSES = 2;
/** From a hole to the inside face of a flange: thicknesses, and the inside radius on top. */
export const BEND_THICKNESSES = 2.5;
/** Iron to the edge of the plate. */
export const HEAVY_TO_EDGE = 20;

/** Centres of two tubes in diameters of the larger bulb: at least, and safer. */
export const TUBE_SPACING = 1.5;
export const TUBE_SPACING_SAFER = 2;
/** Bulb to the can of an electrolytic capacitor: wanted, and the least. */
export const BULB_TO_CAN = 25;
export const BULB_TO_CAN_LEAST = 20;
/** Bulb to what a hand turns or presses. */
export const BULB_TO_CONTROL = 30;

/** Centre of the iron to the first tube: frames, rings. */
export const IRON_TO_FIRST_TUBE = 100;
export const RING_CORE_TO_FIRST_TUBE = 60;
/** Mains parts to what carries a small signal. */
export const MAINS_TO_SIGNAL = 40;
/** Wires: a plate's to another tube's grid, the heaters' pair to a grid's pin, a stopper's body to its pin, screened when longer. */
export const PLATE_TO_GRID = 25;
export const HEATER_TO_GRID = 15;
export const STOPPER_TO_PIN = 10;
export const SCREENED_OVER = 60;
/** Live terminals to earthed metal (basic) and to what is reached from outside (reinforced), 220 to 250 V: GB 8898-2001, quoted. */
export const LIVE_TO_EARTHED = 3;
export const LIVE_TO_SIGNAL = 6;
/** Inlet to the earth stud. */
export const INLET_TO_STUD = 100;

/** Above a seated tube: for the fingers that pull it. */
export const FINGERS = 20;
/** Bulb to the cover above it. */
export const BULB_TO_COVER = 10;

/** Screws that hold a ring or a plate: M3. */
export const FIXING_CLEARANCE = 3.2;
export const FIXING_HEAD = 6;
export const FIXING_NUT = 6.4;
/** Centre of a screw to the edge of what it goes through, in its diameters. */
export const SCREW_TO_EDGE = 1.5;
/** Metal that a thread wants, in diameters of the screw. */
export const THREAD_DIAMETERS = 1;
/** How far a ring or plate covers the rim of what is under it, at least. */
export const COVER_RIM = 3;
