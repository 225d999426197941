import { useHands, useAround, useDocument, useSession } from "../../state/use-session.ts";
import { useAnswer, useDesk } from "../../worker/use-answer.ts";

/** The rectifier's type: what is on the shelf first, then the library. Wires move with it; values stay, findings say the rest. */
export function RectifierType() {
  const desk = useDesk();
  const hands = useHands();
  const { session } = useAround();
  const document = useDocument();
  const shelf = useSession((state) => state.shelf.value);
  const { value: found } = useAnswer("findTubes", { words: "rectifier" });
  const envelope = document.supply?.rectifier.envelope;
  const type = document.envelopes.find((one) => one.id === envelope)?.type;
  if (envelope === undefined || type === undefined) return null;
  const onShelf = (name: string) => shelf.tubes.find((one) => one.type === name)?.count ?? 0;
  const types = [...new Set([type, ...(found?.types ?? [])])].sort((a, b) => onShelf(b) - onShelf(a));
  const put = async (next: string) => {
    if (session.getState().hand !== undefined) hands.drop();
    const { value, failure } = await desk.once("placeTube", { envelope, type: next });
    if (failure !== undefined) hands.say({ level: "watch", sentence: failure });
    else if (value !== undefined) hands.keep(value.title, value.changes);
  };
  return (
    <label className="supply-type no-print">
      {envelope}{" "}
      <select className="field" value={type} onChange={(event) => void put(event.currentTarget.value)}>
        {types.map((name) => (
          <option key={name} value={name}>
            {name}
            {onShelf(name) > 0 ? ` (${onShelf(name)} on the shelf)` : ""}
          </option>
        ))}
      </select>
    </label>
  );
}
