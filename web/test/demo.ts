/** For tests: the Hearth demo as the workshop would hand it to a page, and a workshop in memory. */
import { readFileSync } from "node:fs";
import { readDesign, readShelf } from "@platewright/design";
import { fail, ok } from "@platewright/engine";
import type { KeepSteps, Line, OpenDesign, ShelfState, Step, Workshop } from "@platewright/workshop/client";

const design = readDesign(readFileSync("examples/hearth/hearth.design.json", "utf8"));
const shelf = readShelf(readFileSync("examples/hearth/shelf.json", "utf8"));
if (!design.ok) throw new Error(design.failure.sentence);
if (!shelf.ok) throw new Error(shelf.failure.sentence);

const line = (key: string, seq: number): Line => ({ key, name: key, seq, why: "first", at: "then", lastAt: "then" });

export const demoOpen = (key = "main", seq = 0): OpenDesign => ({
  design: {
    key: "hearth",
    name: design.value.now.name,
    invented: true,
    lines: [line(key, seq)],
    revisions: design.value.revisions.map(({ id, note }) => ({ id, ...(note === undefined ? {} : { note }) })),
    ...(design.value.proven === undefined ? {} : { proven: design.value.proven }),
  },
  line: line(key, seq),
  document: design.value.now,
  revisions: design.value.revisions.map((one) => ({ ...one, line: "main", seq: 0 })),
  steps: [],
});

export const demoShelf = (): ShelfState => ({ shelf: shelf.value, seq: 0, steps: [] });

export interface MemoryWorkshop extends Workshop {
  readonly steps: ReadonlyMap<string, readonly Step[]>;
  /** While set, nothing answers; or the code of what it answers instead. */
  down: boolean | string;
  /** Another hand's step. */
  readonly byAnother: (line: string) => void;
}

const notUsed = () => Promise.resolve(fail({ code: "not-here", sentence: "not in this test" }));

const notNow = (down: boolean | string) =>
  fail({ code: typeof down === "string" ? down : "unreachable", sentence: "down" });

export function memoryWorkshop(): MemoryWorkshop {
  const steps = new Map<string, Step[]>([["main", []]]);
  const shelfSteps: Step[] = [];
  const keep = (line: string, ask: KeepSteps) => {
    const there = steps.get(line) ?? [];
    if (ask.after === there.length) {
      steps.set(line, [...there, ...ask.steps]);
      return { outcome: "kept" as const, line, seq: there.length + ask.steps.length };
    }
    const beside = `${line}-beside`;
    steps.set(beside, [...there.slice(0, ask.after), ...ask.steps]);
    return {
      outcome: "kept-beside" as const,
      line: beside,
      name: beside,
      besides: line,
      seq: ask.after + ask.steps.length,
    };
  };
  const self: MemoryWorkshop = {
    steps,
    down: false,
    byAnother: (line) => {
      const there = steps.get(line) ?? [];
      steps.set(line, [...there, { id: "other", title: "another hand", changes: [{ target: "note", after: "x" }] }]);
    },
    shop: notUsed,
    open: (_design, key = "main") => Promise.resolve(ok(demoOpen(key, steps.get(key)?.length ?? 0))),
    keep: async (_design, line, ask) =>
      self.down === false ? ok(keep(line, structuredClone(ask))) : notNow(self.down),
    cut: notUsed,
    pin: notUsed,
    branch: notUsed,
    shelf: () => Promise.resolve(ok(demoShelf())),
    keepShelf: async (ask) => {
      if (self.down !== false) return notNow(self.down);
      shelfSteps.push(...ask.steps);
      return ok({ outcome: "kept" as const, seq: shelfSteps.length });
    },
    bringIn: notUsed,
    exportAddress: () => "",
    archiveAddress: () => "",
    backUp: notUsed,
    pack: notUsed,
    eventsAddress: () => "",
  };
  return self;
}
