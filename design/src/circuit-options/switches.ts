/**
 * Ways in which a stage can be built, each as Changes: cathode bypassed or not, capacitor or no capacitor into the
 * follower, resistor or current sink below it, grid stopper or none.
 *
 * Law     What a stage is is read from its nets and its standing currents (roles.ts); a way is offered only where they allow
 *         it, and never when the document that it makes would not be a valid one. Applied and taken back it leaves
 *         the document as it was: Changes are differences of whole documents.
 * Limits  A block is shared by its instances: a way is taken in all of them. A sink is ideal, a new part has a size and a rating
 *         by common practice unless the unit that is compared with has one in its place.
 */
import type { Catalogue } from "@platewright/engine";
import { diffDocuments } from "../document/change.ts";
import { expand } from "../document/expand.ts";
import { meaningOf } from "../document/meaning.ts";
import type { Document } from "../document/schema.ts";
import type { Change } from "../findings.ts";
import type { SolvedDesign } from "../solved/types.ts";
import { type BlockView, viewOf } from "./block-view.ts";
import { bypassSwitch } from "./bypass.ts";
import { couplingSwitch } from "./coupling.ts";
import { stopperSwitch } from "./stopper.ts";
import { tailSwitch } from "./tail.ts";

/** One way that a switch can stand. */
export interface Way {
  /** In a word or two: "none", "C1 470 µF". */
  readonly words: string;
  /** What a builder should know before he takes it. */
  readonly remark?: string;
  /** The step in the builder's words. */
  readonly title: string;
  /** The document as it would be; undefined: as it is. */
  readonly document?: Document;
}

export interface FoundSwitch {
  readonly kind: "bypass" | "coupling" | "tail" | "stopper";
  /** "Cathode of V1a", "Grid stopper of V1b". */
  readonly label: string;
  /** Parts of the block that it is about. */
  readonly parts: readonly string[];
  readonly ways: readonly Way[];
}

export interface CircuitSwitch {
  /** "bypass/L.V1a". */
  readonly id: string;
  readonly kind: FoundSwitch["kind"];
  readonly label: string;
  readonly triode: string;
  /** In all of these it turns together. */
  readonly instances: readonly string[];
  /** Expanded ids. */
  readonly parts: readonly string[];
  readonly choices: readonly {
    readonly words: string;
    readonly remark?: string;
    readonly title: string;
    /** It stands so. */
    readonly present: boolean;
    readonly changes: readonly Change[];
  }[];
}

export interface SwitchAsk {
  readonly solved: SolvedDesign;
  readonly catalogue: Catalogue;
  readonly instance: string;
  /** Parts that stood in a place are put back there as they were. */
  readonly reference?: Document;
}

/** Every switch of an instance, in the order of its stages. */
export function circuitSwitches(ask: SwitchAsk): readonly CircuitSwitch[] {
  const view = viewOf(ask.solved, ask.instance);
  if (view === undefined) return [];
  return view.stages.flatMap((stage) =>
    [
      bypassSwitch(view, stage, ask),
      couplingSwitch(view, stage, ask),
      tailSwitch(view, stage, ask),
      stopperSwitch(view, stage, ask),
    ].flatMap((found) => (found === undefined ? [] : offered(view, stage.stage.triode.id, found))),
  );
}

function offered(view: BlockView, triode: string, found: FoundSwitch): readonly CircuitSwitch[] {
  const choices = found.ways.flatMap(({ document, words, title, remark }) => {
    if (document !== undefined && !isValid(document)) return [];
    return [
      {
        words,
        title,
        ...(remark === undefined ? {} : { remark }),
        present: document === undefined,
        changes: document === undefined ? [] : diffDocuments(view.document, document),
      },
    ];
  });
  if (choices.every((one) => one.present)) return [];
  const { kind, label, parts } = found;
  return [
    {
      id: `${kind}/${triode}`,
      kind,
      label,
      triode,
      instances: view.instances,
      parts: parts.map((id) => `${view.instance}.${id}`),
      choices,
    },
  ];
}

const isValid = (document: Document): boolean => meaningOf(document) === undefined && expand(document).ok;
