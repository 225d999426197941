/** Which names and addresses lead to this machine, as a Host header writes them. */
import { networkInterfaces } from "node:os";

const LOOPBACK = ["127.0.0.1", "localhost", "[::1]"] as const;

/** Addresses under which others on the local network reach this machine. */
export const ownAddresses = (): readonly string[] =>
  Object.values(networkInterfaces())
    .flatMap((one) => one ?? [])
    .filter((one) => one.family === "IPv4" && !one.internal)
    .map((one) => one.address);

/** Whether a Host header names this machine to itself, on whatever port. */
export const isLoopback = (host: string): boolean =>
  LOOPBACK.some((name) => host === name || host.startsWith(`${name}:`));

/**
 * Judges a Host header. Names other than localhost are never ours: a name can be pointed here by whoever owns it, an address
 * cannot. `others` is asked each time, as a machine changes its address.
 */
export function ownHosts(port: number, others: () => readonly string[] = () => []): (host: string) => boolean {
  return (host) => {
    const ending = `:${port}`;
    const name = host.endsWith(ending) ? host.slice(0, -ending.length) : port === 80 ? host : undefined;
    return name !== undefined && ([...LOOPBACK, ...others()] as readonly string[]).includes(name);
  };
}
