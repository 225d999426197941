import { useEffect, useRef } from "react";
import { SECTIONS } from "./sections.ts";

const KEYS: readonly (readonly [string, string])[] = [
  ["Ctrl K or /", "do something by name, or type a value: R4 820"],
  ["Ctrl Z, Ctrl Y", "undo, redo"],
  ["Esc", "put down what is in hand"],
  ["↑ ↓ in a value", "next preferred value; with Shift the finest series"],
  ["Enter", "keep what is in hand"],
  ["← →", "in Pack: the page before, the next page"],
  ["← ↑ → ↓ on a part", "in Chassis: moves it by the step, with Shift by ten; R turns it by 15°, Shift R by 90°"],
  ["Shift or Alt, pointer", "in Chassis: Shift chooses several; Alt drags off the grid"],
  ["Tab", "next control"],
  ["?", "this list"],
];

export function KeysDialog({ onClose }: { onClose: () => void }) {
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => {
    dialog.current?.showModal();
  }, []);
  return (
    <dialog ref={dialog} className="keys" aria-labelledby="keys-title" onClose={onClose}>
      <h2 id="keys-title">Keys</h2>
      <table>
        <tbody>
          {SECTIONS.map(({ id, title }, n) => (
            <tr key={id}>
              <th scope="row">{n + 1}</th>
              <td>{title}</td>
            </tr>
          ))}
          {KEYS.map(([key, does]) => (
            <tr key={key}>
              <th scope="row">{key}</th>
              <td>{does}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <form method="dialog">
        <button className="button" type="submit">
          Close
        </button>
      </form>
    </dialog>
  );
}
