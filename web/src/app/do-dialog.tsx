import { useEffect, useId, useRef, useState } from "react";
import { useAround } from "../state/use-session.ts";
import { useDesk } from "../worker/use-answer.ts";
import { type Command, matching, readTyped } from "./commands.ts";

/**
 * "Do…": everything the page can do, by name, and values typed straight in. Arrows choose, Enter does it, Escape leaves.
 */
export function DoDialog({ commands, onClose }: { commands: readonly Command[]; onClose: () => void }) {
  const { session, hands } = useAround();
  const desk = useDesk();
  const [typed, setTyped] = useState("");
  const [at, setAt] = useState(0);
  const [trouble, setTrouble] = useState<string>();
  const dialog = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    dialog.current?.showModal();
  }, []);

  const read = readTyped(session.getState().book.value, typed);
  const tried = read === undefined || read.kind === "wrong" ? undefined : read;
  const value: Command | undefined =
    tried === undefined
      ? undefined
      : {
          id: "value",
          words: tried.kind === "edit" ? tried.title : `${tried.envelope}: put ${tried.type} in, wires moved`,
          note: "Enter does it, one undo takes it back",
          run: () => {
            if (tried.kind === "edit") {
              hands.keep(tried.title, tried.changes);
              return;
            }
            void desk.once("placeTube", { envelope: tried.envelope, type: tried.type }).then(({ value, failure }) => {
              if (failure !== undefined) hands.say({ level: "watch", sentence: failure });
              else if (value !== undefined) hands.keep(value.title, value.changes);
            });
          },
        };
  const found = [...(value === undefined ? [] : [value]), ...matching(commands, typed)];
  const chosen = found[Math.min(at, found.length - 1)];
  const act = (command: Command | undefined) => {
    if (command === undefined) {
      setTrouble(read?.kind === "wrong" ? read.sentence : `Nothing is called “${typed.trim()}”.`);
      return;
    }
    dialog.current?.close();
    command.run();
  };
  return (
    <dialog ref={dialog} className="do" aria-label="Do" onClose={onClose}>
      <label htmlFor={`${id}-field`}>Do</label>
      <input
        id={`${id}-field`}
        className="field"
        role="combobox"
        aria-expanded="true"
        aria-controls={`${id}-list`}
        aria-autocomplete="list"
        aria-activedescendant={chosen === undefined ? undefined : `${id}-${chosen.id}`}
        placeholder="a section, a word, or R4 820, V1 12BH7A"
        autoComplete="off"
        spellCheck={false}
        value={typed}
        onChange={(event) => {
          setTyped(event.currentTarget.value);
          setAt(0);
          setTrouble(undefined);
        }}
        onKeyDown={(event) => {
          const by = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
          if (by !== 0 && found.length > 0) {
            event.preventDefault();
            setAt((found.length + Math.min(at, found.length - 1) + by) % found.length);
          } else if (event.key === "Enter") {
            event.preventDefault();
            act(chosen);
          }
        }}
      />
      {(trouble ?? (read?.kind === "wrong" ? read.sentence : undefined)) !== undefined && (
        <p className="field-words" role="alert">
          {trouble ?? (read?.kind === "wrong" ? read.sentence : "")}
        </p>
      )}
      <div id={`${id}-list`} className="do-list" role="listbox" aria-label="What can be done">
        {found.map((command) => (
          <div
            key={command.id}
            id={`${id}-${command.id}`}
            role="option"
            tabIndex={-1}
            aria-selected={command === chosen}
            ref={(row) => {
              if (command === chosen) row?.scrollIntoView({ block: "nearest" });
            }}
            onClick={() => act(command)}
            onKeyDown={() => undefined}
          >
            <span>{command.words}</span>
            {command.note !== undefined && <span className="muted">{command.note}</span>}
          </div>
        ))}
      </div>
    </dialog>
  );
}
