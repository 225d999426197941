/** The command line: verbs and flags to commands, outcomes to text or JSON and an exit status. */
import { openCatalogue } from "@platewright/library";
import { Command, CommanderError } from "commander";
import { chassisCommand, type ChassisFlags } from "./commands/chassis.ts";
import { checkCommand } from "./commands/check.ts";
import { packCommand, type PackFlags } from "./commands/pack.ts";
import { rectifyCommand, type RectifyFlags } from "./commands/rectify.ts";
import { reworkCommand } from "./commands/rework.ts";
import { serveVerb } from "./commands/serve-flags.ts";
import { stageCommand, type StageFlags } from "./commands/stage.ts";
import { supplyCommand, type SupplyFlags } from "./commands/supply.ts";
import { tubesCommand } from "./commands/tubes.ts";
import { voiceCommand, type VoiceFlags } from "./commands/voice.ts";
import type { Io } from "./io.ts";
import { badInput, BadInput, type ExitStatus, type Outcome } from "./outcome.ts";

export const VERSION = "0.1.0";

const collect = (value: string, before: readonly string[]): readonly string[] => [...before, value];

/** Runs one command line (without node and script) and answers its exit status. */
export function run(argv: readonly string[], io: Io): ExitStatus {
  let outcome: Outcome | undefined;
  let json = false;
  const catalogue = openCatalogue();
  const program = new Command("platewright")
    .description("Rework a proven tube line preamplifier around the parts on hand.")
    .version(VERSION, "--version")
    .exitOverride()
    .configureOutput({ writeOut: io.out, writeErr: () => undefined });
  const verb = (name: string, description: string) =>
    program
      .command(name)
      .description(description)
      .option("--json", "SI-unit data with stable names instead of tables")
      .exitOverride()
      .configureOutput({ writeOut: io.out, writeErr: () => undefined });
  const done = (command: { readonly json?: boolean }, made: Outcome) => {
    outcome = made;
    json = command.json === true;
  };

  verb("rework", "put other parts into a proven design and re-choose its values")
    .argument("<base>", "design file; its proven revision, or what it holds now")
    .option("--shelf <file>", "what is on hand")
    .option(
      "--put <bottle=type>",
      "put a type into a bottle's socket: V1=12BH7A; may be repeated",
      collect,
      [] as readonly string[],
    )
    .option("--keep <what>", "voicing (when nothing is said) or current")
    .option("--h2 <target>", "move the voicing: 1%@1V")
    .option("--all", "try every type of the library, not only the shelf", false)
    .option("--every", "list every finding, the quiet ones too", false)
    .option("--out <file>", "write the revised design")
    .action(
      (
        base: string,
        flags: {
          shelf?: string;
          put: readonly string[];
          keep?: string;
          h2?: string;
          all: boolean;
          every: boolean;
          out?: string;
          json?: boolean;
        },
      ) => {
        const { out, json: _json, ...rest } = flags;
        done(flags, reworkCommand(io, base, { ...rest, ...(out === undefined ? {} : { output: out }) }, catalogue));
      },
    );
  verb("check", "solve a design in every condition and list what was found")
    .argument("<design>", "design file")
    .option("--every", "list every finding, the quiet ones too", false)
    .action((path: string, flags: { every: boolean; json?: boolean }) =>
      done(flags, checkCommand(io, path, flags, catalogue)),
    );
  verb("voice", "harmonics against level and drive")
    .argument("<design>", "design file")
    .option("--levels <volts>", "rms at the input jack: 0.3,1,2")
    .option("--drive <turns>", "drive control, 0 down to 1 up: 0.5,1")
    .action((path: string, flags: VoiceFlags & { json?: boolean }) =>
      done(flags, voiceCommand(io, path, flags, catalogue)),
    );
  verb("supply", "nodes and parts in every condition of the mains, hum, discharge, single faults")
    .argument("<design>", "design file")
    .option("--every", "every part and every finding, the quiet ones too", false)
    .option(
      "--want <wish>",
      "values for a wish: B2=250 (volts at a net), hum=-100 (dBV), discharge=30 (seconds); may be repeated",
      collect,
      [] as readonly string[],
    )
    .option("--plot <file>", "write the start-up (FILE.svg) and one mains cycle (FILE-cycle.svg)")
    .action((path: string, flags: SupplyFlags & { json?: boolean }) =>
      done(flags, supplyCommand(io, path, flags, catalogue)),
    );
  verb("chassis", "holes with their tools, ways for holes in the way, findings of the plate; a DXF outline brought in")
    .argument("<design>", "design file, or shop:NAME")
    .option("--every", "list every finding, the quiet ones too, and what spare holes are good for", false)
    .option("--import <dxf>", "outline and holes from a DXF, R12 to 2018")
    .option("--out <file>", "with --import: the design with the new plate")
    .option("--units <units>", "of a DXF that states none: mm, cm, inch or m")
    .option("--holes <state>", "of a DXF: there (when nothing is said) or planned")
    .action((path: string, flags: ChassisFlags & { json?: boolean }) =>
      done(flags, chassisCommand(io, path, flags, catalogue)),
    );
  verb("pack", "every paper of a revision as PDF, parts as CSV, what a fabricator needs, and a manifest")
    .argument("<design>", "design file, or shop:NAME")
    .requiredOption("--out <folder>", "a new folder, or that of an earlier pack")
    .option("--paper <size>", "A4, A3 (drawings on A3, text on A4) or Letter", "A4")
    .option("--revision <id>", "a revision that was cut; what the file holds now when not said")
    .option("--date <date>", "2026-11-25; that of the revision when not said")
    .option("--shelf <file>", "what is on hand: the parts list says what to buy")
    .option("--prices <file>", "your prices and hours: the price sheet is worked out")
    .option("--zip", "all files once more in one, pack.zip", false)
    .action((path: string, flags: PackFlags & { json?: boolean }) =>
      done(flags, packCommand(io, path, flags, catalogue)),
    );
  verb("stage", "one resistance-coupled stage")
    .requiredOption("--tube <type>", "12AU7A")
    .option("--section <n>", "1 or 2 of a tube with unlike halves")
    .requiredOption("--supply <volts>", "250")
    .requiredOption("--plate-load <ohms>", "47k")
    .requiredOption("--cathode <ohms>", "1k2; 0 puts the cathode on ground")
    .option("--bypass <farads>", "50u, or none", "none")
    .option("--grid-leak <ohms>", "1M", "1M")
    .option("--coupling <farads>", "10n; not asked when nothing follows", "100n")
    .option("--next-grid <ohms>", "150k, or none", "none")
    .option("--output <volts>", "rms output wanted; may be repeated", collect, [] as readonly string[])
    .action((flags: StageFlags & { json?: boolean }) => done(flags, stageCommand(flags, catalogue)));
  verb("rectify", "one rectifier and its first capacitor")
    .requiredOption("--tube <type>", "EZ80, silicon or ideal")
    .requiredOption("--winding <volts>", "rms per half; of the whole winding for a bridge")
    .option("--hertz <hertz>", "mains frequency", "50")
    .requiredOption("--series <ohms>", "all resistance in series with one plate")
    .requiredOption("--first-capacitor <farads>", "50u")
    .option("--load-amps <amps>", "60m")
    .option("--load-ohms <ohms>", "instead of amperes")
    .option("--circuit <kind>", "full-wave, half-wave or bridge", "full-wave")
    .option("--silicon", "a silicon diode in series with each plate", false)
    .action((flags: RectifyFlags & { json?: boolean }) => done(flags, rectifyCommand(flags, catalogue)));
  verb("tubes", "the library: find, show or compare types")
    .argument("[words...]", "a type, several types, or words like noval 6.3V mu20")
    .action((words: readonly string[], flags: { json?: boolean }) => done(flags, tubesCommand(words, catalogue)));
  // Listed here for its help; it runs until it is stopped, on a way of its own (main.ts).
  serveVerb(program).action(() => badInput("serve runs as a program of its own: platewright serve."));

  try {
    program.parse([...argv], { from: "user" });
  } catch (error) {
    if (error instanceof BadInput) {
      io.error(`${error.message}\n`);
      return 2;
    }
    if (error instanceof CommanderError) {
      if (error.exitCode === 0) return 0;
      if (error.code === "commander.help") {
        io.out(program.helpInformation());
        return 2;
      }
      io.error(`${commanderSentence(error.message)}\n`);
      return 2;
    }
    throw error;
  }
  if (outcome === undefined) {
    io.out(program.helpInformation());
    return 2;
  }
  io.out(json ? `${JSON.stringify(outcome.json, undefined, 1)}\n` : outcome.text);
  return outcome.exit;
}

/** "error: required option '--tube <type>' not specified" → a sentence. */
function commanderSentence(message: string): string {
  const plain = message.replace(/^error: /, "").replace(/\n\(Did you mean (.+)\?\)/, "; did you mean $1?");
  const first = plain.charAt(0).toUpperCase() + plain.slice(1);
  return /[.?]$/.test(first) ? first : `${first}; platewright --help lists what is accepted.`;
}
