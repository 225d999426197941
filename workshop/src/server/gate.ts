/**
 * The passphrase of a shared workshop. It is kept as scrypt's key of it, compared in constant time; each wrong one makes
 * its sender wait twice as long, and one is judged at a time, so that guessing costs the guesser and not this machine.
 * Sessions are random, kept in memory as their digests, and end with the server or after half a day unused.
 */
import { createHash, randomBytes, scrypt, timingSafeEqual } from "node:crypto";
import { badInput } from "../outcome.ts";

export type Entered =
  | { readonly outcome: "in"; readonly token: string }
  | { readonly outcome: "wrong" }
  | { readonly outcome: "wait"; readonly seconds: number };

export interface Gate {
  /** Whether a token is that of an open session. */
  readonly knows: (token: string | undefined) => boolean;
  readonly enter: (passphrase: string, from: string) => Promise<Entered>;
}

export const LONGEST_PASSPHRASE = 1000;
const SHORTEST_PASSPHRASE = 12;
/** RFC 7914: 32 MB and about a tenth of a second for each guess. */
const COST = { N: 2 ** 15, r: 8, p: 1, maxmem: 64 * 2 ** 20 };
const KEY_BYTES = 32;
const SESSION_MILLISECONDS = 12 * 3_600_000;
const MOST_SESSIONS = 200;
const LONGEST_WAIT_SECONDS = 60;
/** Senders remembered for their wrong ones; the oldest is forgotten first. */
const MOST_SENDERS = 500;

/** The passphrase as it is compared, or a refusal: twelve characters are the least, and not the same one again and again. */
export function soundPassphrase(given: string): string {
  const passphrase = given.normalize("NFKC").trim();
  const characters = [...passphrase];
  if (characters.length < SHORTEST_PASSPHRASE || new Set(characters).size < 5)
    return badInput(
      `The passphrase is too easy to guess: ${SHORTEST_PASSPHRASE} characters are the least; four words that do not belong together are good.`,
    );
  if (passphrase.length > LONGEST_PASSPHRASE)
    return badInput(`The passphrase has more than ${LONGEST_PASSPHRASE} characters; four words are enough.`);
  return passphrase;
}

/** `now` in milliseconds. */
export async function openGate(passphrase: string, now: () => number): Promise<Gate> {
  const salt = randomBytes(16);
  const key = await keyOf(passphrase, salt);
  const sessions = new Map<string, number>();
  const senders = new Map<string, { readonly wrong: number; readonly until: number }>();
  let judging = false;

  const remember = <T>(map: Map<string, T>, key: string, value: T, most: number) => {
    map.delete(key);
    map.set(key, value);
    const [oldest] = map.keys();
    if (map.size > most && oldest !== undefined) map.delete(oldest);
  };
  return {
    knows: (token) => {
      if (token === undefined) return false;
      const digest = digestOf(token);
      const seen = sessions.get(digest);
      if (seen === undefined) return false;
      if (now() - seen > SESSION_MILLISECONDS) {
        sessions.delete(digest);
        return false;
      }
      remember(sessions, digest, now(), MOST_SESSIONS);
      return true;
    },
    enter: async (given, from) => {
      const before = senders.get(from);
      const left = (before?.until ?? 0) - now();
      if (left > 0) return { outcome: "wait", seconds: Math.ceil(left / 1000) };
      if (judging) return { outcome: "wait", seconds: 1 };
      judging = true;
      try {
        const same = timingSafeEqual(await keyOf(given.normalize("NFKC").trim(), salt), key);
        if (!same) {
          const wrong = (before?.wrong ?? 0) + 1;
          const seconds = Math.min(2 ** (wrong - 1), LONGEST_WAIT_SECONDS);
          remember(senders, from, { wrong, until: now() + 1000 * seconds }, MOST_SENDERS);
          return { outcome: "wrong" };
        }
      } finally {
        judging = false;
      }
      senders.delete(from);
      const token = randomBytes(32).toString("base64url");
      remember(sessions, digestOf(token), now(), MOST_SESSIONS);
      return { outcome: "in", token };
    },
  };
}

const keyOf = (passphrase: string, salt: Buffer): Promise<Buffer> =>
  new Promise((resolve, reject) =>
    scrypt(passphrase.slice(0, LONGEST_PASSPHRASE), salt, KEY_BYTES, COST, (error, key) =>
      error === null ? resolve(key) : reject(error),
    ),
  );

const digestOf = (token: string): string => createHash("sha256").update(token).digest("base64");
