/**
 * SI quantities as branded numbers: no cost at run time, and volts passed where ohms are wanted do not compile.
 * The makers below are the only places where a bare number becomes a quantity.
 */
type Brand<U extends string> = number & { readonly __unit: U };

export type Volts = Brand<"V">;
export type Amps = Brand<"A">;
export type Ohms = Brand<"Ohm">;
export type Siemens = Brand<"S">;
export type Farads = Brand<"F">;
export type Henries = Brand<"H">;
export type Hertz = Brand<"Hz">;
export type Seconds = Brand<"s">;
export type Watts = Brand<"W">;
export type Metres = Brand<"m">;
export type Decibels = Brand<"dB">;

export const volts = (n: number): Volts => n as Volts;
export const amps = (n: number): Amps => n as Amps;
export const ohms = (n: number): Ohms => n as Ohms;
export const siemens = (n: number): Siemens => n as Siemens;
export const farads = (n: number): Farads => n as Farads;
export const henries = (n: number): Henries => n as Henries;
export const hertz = (n: number): Hertz => n as Hertz;
export const seconds = (n: number): Seconds => n as Seconds;
export const watts = (n: number): Watts => n as Watts;
export const metres = (n: number): Metres => n as Metres;
export const decibels = (n: number): Decibels => n as Decibels;
