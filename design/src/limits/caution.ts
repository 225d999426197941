/** The one wording of the high-voltage caution; every printed report and screen takes it from here. */

export const CAUTION_TITLE = "Danger: high voltage";

export const CAUTION_LINES: readonly string[] = [
  "The voltages in this unit can kill, also after it is switched off.",
  "Before touching anything inside: unplug it, wait, measure every capacitor and every node marked here, discharge what still holds a voltage through a resistor, and measure again.",
  "When it must be measured live: keep one hand away from it, clip the meter's ground lead on first, and do not work alone.",
  "A bleeder can fail open: the meter decides, never the time that has passed.",
  "Mains wiring follows the electrical code of your country and is checked by a licensed electrician.",
  "These figures advise; they do not certify that a unit is safe.",
];

/** For who uses the unit and never opens it. */
export const CAUTION_OWNER: readonly string[] = [
  "Lethal voltages inside, also after it is unplugged: do not open the case.",
  "Use an earthed outlet only.",
  "Unplug it before you change a tube or the fuse, and let the tubes cool for ten minutes.",
  "Keep 100 mm free above and around it, and liquids away.",
  "Service by a qualified person.",
];

/** For a line under a report. */
export const CAUTION_SHORT =
  "Danger, lethal voltage: unplug, wait, measure, discharge, measure again; keep one hand away; mains wiring to local code by a licensed electrician.";

/** Above this dc voltage a node is marked as hazardous (60 V: the dc bound of IEC 61010-1 and 62368-1, from memory). */
export const HAZARDOUS_VOLTS = 60;
