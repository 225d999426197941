/** What a command answers, before anything is printed: pure, so that tests call commands without a process. */

/** 0 done, 1 findings at stop, 2 bad input. */
export type ExitStatus = 0 | 1 | 2;

export interface Outcome {
  readonly exit: ExitStatus;
  /** SI-unit data with stable field names; printed by --json. */
  readonly json: unknown;
  /** The tables a person reads. */
  readonly text: string;
}

/** One sentence: what, where, what would be accepted. Carried by a throw only from the command line's own parsing. */
export class BadInput extends Error {}

export const badInput = (sentence: string): never => {
  throw new BadInput(sentence);
};
