import type { Finding, SupplyChain } from "@platewright/design";
import { type Scene, supplyChainScene } from "@platewright/drawing";
import { printValue } from "@platewright/engine";
import { useMemo } from "react";
import { PIXELS_PER_MILLIMETRE, SceneView } from "../../parts/scene-view.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSize } from "../../parts/use-size.ts";
import { useSession } from "../../state/use-session.ts";
import type { Told } from "../../worker/desk.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { useKept } from "../../state/use-kept.ts";
import { Editor } from "./editor.tsx";
import { movedIn } from "./moved.ts";
import { conditionHead } from "./words.ts";

interface Chains {
  readonly now: SupplyChain;
  readonly was: SupplyChain | null;
}

/** Before a chain is there, so that the sheet does not jump: what the demo's takes. */
const USUAL_HEIGHT = 236;

const NONE = {};

/** From the mains to the tubes, drawn with volts; what is pressed can be changed beneath. */
export function Chain(props: ChainProps) {
  return props.condition === "nominal" ? <Running {...props} /> : <Elsewhere {...props} />;
}

interface ChainProps {
  readonly condition: string;
  readonly onCondition: (id: string) => void;
  readonly chosen: string | undefined;
  readonly onChoose: (id: string) => void;
  readonly findings: readonly Finding[];
}

function Running(props: ChainProps) {
  return <Sheet {...props} told={useAnswer("supplyChain", NONE)} />;
}

function Elsewhere(props: ChainProps) {
  return <Sheet {...props} told={useAnswer("supplyChainIn", { condition: props.condition })} />;
}

/** Findings whose stop is said in the drawing, where it is about something that stands there. */
const SAID = /^(capacitor|resistor|rectifier|fuse|transformer|choke|regulator|heater-winding)/;

function Sheet({
  told: { value, failure, fresh },
  condition,
  onCondition,
  chosen,
  onChoose,
  findings,
}: ChainProps & { told: Told<Chains> }) {
  const [box, { width }] = useSize<HTMLDivElement>();
  const inHand = useSession((session) => session.hand !== undefined);
  const kept = useKept(value?.now, fresh);
  const now = value?.now;
  const was = value?.was ?? undefined;
  const scene = useMemo(() => {
    if (now === undefined || width === 0) return undefined;
    return supplyChainScene(now, {
      title: "Supply",
      width: Math.floor(width / PIXELS_PER_MILLIMETRE) - 1,
      stops: new Set(findings.flatMap((one) => (one.level === "stop" && SAID.test(one.rule) ? [standing(one)] : []))),
      ...(was === undefined ? {} : { was }),
      ...(inHand && kept !== undefined ? { live: movedIn(now, kept) } : {}),
    });
  }, [now, was, kept, inHand, width, findings]);
  const marked = useMemo(() => frameOf(scene, chosen), [scene, chosen]);
  const then = was?.transformer.dcAmps;
  return (
    <section aria-labelledby="supply-chain" className="supply-chain">
      <SectionHead
        id="supply-chain"
        title="Chain"
        note={
          now === undefined
            ? undefined
            : `${now.words}, ${printValue(now.mains.volts, "V")}: ${printValue(now.rectifier.dcAmps, "A")} from the rectifier${
                then === undefined || Math.abs(then - now.rectifier.dcAmps) < 5e-5
                  ? ""
                  : `, was ${printValue(then, "A")}`
              }`
        }
        end={<ConditionChoice condition={condition} onCondition={onCondition} />}
      />
      <div
        ref={box}
        className="supply-drawing"
        style={scene === undefined ? { minHeight: USUAL_HEIGHT } : undefined}
        data-fresh={fresh}
      >
        {failure !== undefined && <p role="status">{failure}</p>}
        {failure === undefined && scene === undefined && <p className="supply-note">Solving…</p>}
        {failure === undefined && scene !== undefined && (
          <SceneView scene={scene} onPick={(ids) => choose(ids, onChoose)}>
            {marked !== undefined && <rect className="supply-chosen" {...marked} />}
          </SceneView>
        )}
      </div>
      {now !== undefined && <Editor chain={now} chosen={chosen} onChoose={onChoose} />}
    </section>
  );
}

/** Millimetres between what is chosen and the line around it. */
const AIR = 0.8;

/** Around what is chosen: where it can be pressed. */
function frameOf(scene: Scene | undefined, id: string | undefined) {
  const whole = scene?.items[0];
  if (id === undefined || whole?.kind !== "group") return undefined;
  const found = whole.items.find((item) => item.kind === "rect" && item.ids?.includes(id) === true);
  if (found?.kind !== "rect") return undefined;
  const [x, y] = [found.at[0] + whole.at[0] - AIR, found.at[1] + whole.at[1] - AIR];
  return { x, y, width: found.width + 2 * AIR, height: found.height + 2 * AIR };
}

/** The name that the chain draws a finding's thing by. */
const standing = ({ rule, where }: Finding): string =>
  rule === "fuse" ? "fuse" : rule.startsWith("transformer") || where === "HT" ? "transformer" : where;

function choose(ids: readonly string[], onChoose: (id: string) => void): void {
  const [id] = ids;
  if (id !== undefined) onChoose(id);
}

/** Every condition that can be looked at; the table's heads choose among them too. */
function ConditionChoice({ condition, onCondition }: Pick<ChainProps, "condition" | "onCondition">) {
  const { value } = useAnswer("supplyNodes", NONE);
  const lamp = ["lamp-no-tubes", "lamp-rectifier", "lamp-all"];
  const known = [...(value?.conditions.map((one) => one.id) ?? ["nominal"]), ...lamp];
  const ids = known.includes(condition) ? known : [condition, ...known];
  return (
    <label className="supply-control no-print">
      Shown
      <select className="field" value={condition} onChange={(event) => onCondition(event.currentTarget.value)}>
        {ids.map((id) => (
          <option key={id} value={id}>
            {conditionHead(id)}
          </option>
        ))}
      </select>
    </label>
  );
}
