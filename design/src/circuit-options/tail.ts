/** What carries a follower's current to ground: a resistor or a current sink. */
import { printValue } from "@platewright/engine";
import { valueOf } from "../document/parts.ts";
import type { DocumentPart } from "../document/schema.ts";
import { exchange, freeId, partsOfBlock } from "./block-edit.ts";
import { type BlockStage, type BlockView, feedOf, footOf, otherEnd, tiedTo, voltsAt } from "./block-view.ts";
import { ampsCode, ohmsCode, resistorWatts } from "./sizes.ts";
import type { FoundSwitch, SwitchAsk } from "./switches.ts";

type Sink = Extract<DocumentPart, { kind: "current-sink" }>;

/** Below this a sink has nothing to work with; common practice. */
const LEAST_SINK_VOLTS = 5;

export function tailSwitch(
  view: BlockView,
  stage: BlockStage,
  { reference }: Pick<SwitchAsk, "reference">,
): FoundSwitch | undefined {
  if (stage.stage.role !== "follower") return undefined;
  const { document, block } = view;
  const label = `Tail of ${stage.part.id}`;
  const foot = footOf(stage);
  const tail = stage.chain.at(-1);
  if (foot === "0" && tail !== undefined) {
    const top = otherEnd(tail, "0");
    const volts = voltsAt(view, top);
    if (!(volts > LEAST_SINK_VOLTS)) return undefined;
    const amps = volts / valueOf("resistance", tail.value);
    const sink: Sink = {
      kind: "current-sink",
      id: freeId(document, block, "I"),
      label: tail.label ?? "follower tail",
      value: ampsCode(amps),
      pins: { from: top, to: "0" },
    };
    const resistor = { words: `${tail.id} ${printValue(valueOf("resistance", tail.value), "Ω")}`, title: "" };
    const current = printValue(amps, "A");
    return {
      kind: "tail",
      label,
      parts: [tail.id],
      ways: [
        resistor,
        {
          words: `current sink ${current}`,
          title: `${tail.id} out, current sink ${current} below ${stage.part.id}`,
          remark: sinkRemark(view, stage, top, volts * amps),
          document: exchange(document, block, tail.id, sink),
        },
      ],
    };
  }
  const sinks = tiedTo(view, foot).filter(
    (part): part is Sink => part.kind === "current-sink" && part.pins.from === foot && part.pins.to === "0",
  );
  const [sink] = sinks;
  if (sinks.length !== 1 || sink === undefined) return undefined;
  const volts = voltsAt(view, foot);
  const amps = valueOf("current", sink.value);
  if (!(volts > 0 && amps > 0)) return undefined;
  const fresh: DocumentPart = {
    kind: "resistor",
    id: freeId(document, block, "R"),
    label: sink.label ?? "follower tail",
    value: ohmsCode(volts / amps),
    watts: resistorWatts(volts * amps),
    pins: { a: foot, b: "0" },
  };
  const used = new Set(view.parts.map(({ id }) => id));
  const was = (reference === undefined ? [] : partsOfBlock(reference, block)).find(
    (part) => part.kind === "resistor" && !used.has(part.id) && part.pins.a === foot && part.pins.b === "0",
  );
  const near = was?.kind === "resistor" && Math.abs((valueOf("resistance", was.value) * amps) / volts - 1) < 0.05;
  const resistor = near ? was : fresh;
  return {
    kind: "tail",
    label,
    parts: [sink.id],
    ways: [
      {
        words: `resistor ${printValue(valueOf("resistance", resistor.value), "Ω")}`,
        title: `${sink.id} out, ${resistor.id} ${resistor.value} below ${stage.part.id}`,
        document: exchange(document, block, sink.id, resistor),
      },
      { words: `${sink.id} current sink ${printValue(amps, "A")}`, title: "" },
    ],
  };
}

function sinkRemark(view: BlockView, stage: BlockStage, top: string, watts: number): string {
  const { net } = feedOf(view, stage);
  const leaks = tiedTo(view, net).some((part) => part.kind === "resistor" && otherEnd(part, net) === top);
  const heat = `the sink turns ${printValue(watts, "W", 2)} into heat`;
  return leaks
    ? `${heat}; with the grid leak at its top only the tube sets where the cathode stands, so specimens differ much`
    : heat;
}
