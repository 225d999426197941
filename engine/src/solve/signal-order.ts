/**
 * Currents of each device in the order in which the signal passes the devices: next is always the one least driven by those
 * still waiting (coupling: slope of its grid times the impedance from the other's plate current, at one harmonic).
 */
import type { CompiledCircuit } from "../circuit/compile.ts";
import type { Bias } from "./answers.ts";
import type { PortModel } from "./ports.ts";

/** `harmonic`: place of the frequency in the model. */
export function signalOrder(
  model: PortModel,
  circuit: CompiledCircuit,
  bias: Bias,
  harmonic: number,
): readonly (readonly number[])[] {
  const { controls: C, currents: Q } = model;
  let q = 0;
  const waiting = model.devices.map((device) => {
    const currents = device.kind === "triode" ? [q, q + 1] : [q];
    q += currents.length;
    return { currents, slope: Math.abs(bias.slopes[4 * circuit.devices.indexOf(device)] as number) };
  });
  const driven = (to: (typeof waiting)[number]) =>
    waiting.reduce((sum, from) => {
      const at = (harmonic * C + (to.currents[0] as number)) * Q + (from.currents[0] as number);
      const size = Math.hypot(model.impedanceReal[at] as number, model.impedanceImaginary[at] as number);
      return from === to ? sum : sum + to.slope * size;
    }, 0);
  const sorted: (readonly number[])[] = [];
  while (waiting.length > 0) {
    const shares = waiting.map(driven);
    const [next] = waiting.splice(shares.indexOf(Math.min(...shares)), 1);
    if (next === undefined) break;
    sorted.push(next.currents);
  }
  return sorted;
}
