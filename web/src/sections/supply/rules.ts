/** Rules whose findings are worked on in the supply: supply, rectifier, heaters, transformer, fuse, faults. */
export const SUPPLY_RULE =
  /^(rectifier|transformer|heater|elevation|capacitor-volts|resistor-(watts|volts)|discharge|fuse|hum|thump|single-fault|choke|regulator)/;
