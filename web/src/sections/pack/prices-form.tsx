import type { PriceBook } from "@platewright/design";
import { useEffect, useId, useRef, useState } from "react";
import { bookOf, draftOf, type PriceDraft } from "./price-draft.ts";

const PLAIN = [
  ["currency", "Currency", ""],
  ["perHour", "Per hour", ""],
  ["batch", "Batch", "units"],
  ["rejectPercent", "Rejects", "% of parts"],
  ["overheadPercent", "Overhead", "% of cost"],
  ["marginPercent", "Margin", "% of price"],
] as const;

/** The price book as a form: the few numbers, hours by work, prices by part or kind. */
export function PricesForm({
  prices,
  onKeep,
  onClose,
}: {
  prices: PriceBook | undefined;
  onKeep: (book: PriceBook) => void;
  onClose: () => void;
}) {
  const [draft, setDraft] = useState<PriceDraft>(() => draftOf(prices));
  const [wrong, setWrong] = useState<string>();
  const dialog = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => dialog.current?.showModal(), []);
  const set = (change: Partial<PriceDraft>) => setDraft((was) => ({ ...was, ...change }));
  const setWork = (n: number, change: Partial<PriceDraft["work"][number]>) =>
    set({ work: draft.work.map((one, k) => (k === n ? { ...one, ...change } : one)) });
  const setPart = (n: number, change: Partial<PriceDraft["parts"][number]>) =>
    set({ parts: draft.parts.map((one, k) => (k === n ? { ...one, ...change } : one)) });
  return (
    <dialog ref={dialog} className="pack-prices" aria-labelledby={`${id}-title`} onClose={onClose}>
      <h2 id={`${id}-title`}>Prices</h2>
      <form
        onSubmit={(event) => {
          event.preventDefault();
          const book = bookOf(draft);
          if (book.ok) onKeep(book.value);
          else setWrong(book.failure);
        }}
      >
        <div className="pack-price-plain">
          {PLAIN.map(([key, words, unit]) => (
            <label key={key}>
              {words}
              <input
                className="field"
                value={draft[key]}
                inputMode={key === "currency" ? "text" : "decimal"}
                autoComplete="off"
                onChange={(event) => set({ [key]: event.currentTarget.value })}
              />
              <span className="muted">{unit}</span>
            </label>
          ))}
        </div>
        <div className="pack-price-columns">
          <fieldset>
            <legend>Hours of one unit</legend>
            {draft.work.map((one, n) => (
              <div className="pack-price-row" key={n}>
                <input
                  className="field"
                  aria-label={`Work ${n + 1}`}
                  value={one.what}
                  onChange={(event) => setWork(n, { what: event.currentTarget.value })}
                />
                <input
                  className="field pack-price-number"
                  aria-label={`Hours of ${one.what}`}
                  inputMode="decimal"
                  value={one.hours}
                  onChange={(event) => setWork(n, { hours: event.currentTarget.value })}
                />
                <label>
                  <input
                    type="checkbox"
                    checked={one.once}
                    onChange={(event) => setWork(n, { once: event.currentTarget.checked })}
                  />
                  once
                </label>
              </div>
            ))}
            <button
              type="button"
              className="button"
              onClick={() => set({ work: [...draft.work, { what: "", hours: "", once: false }] })}
            >
              Add work
            </button>
          </fieldset>
          <fieldset>
            <legend>Price of one part</legend>
            {draft.parts.map((one, n) => (
              <div className="pack-price-row" key={n}>
                <input
                  className="field"
                  aria-label={`Part ${n + 1}`}
                  placeholder="R3, resistor 3 W"
                  value={one.of}
                  onChange={(event) => setPart(n, { of: event.currentTarget.value })}
                />
                <input
                  className="field pack-price-number"
                  aria-label={`Price of ${one.of}`}
                  inputMode="decimal"
                  value={one.price}
                  onChange={(event) => setPart(n, { price: event.currentTarget.value })}
                />
              </div>
            ))}
            <button
              type="button"
              className="button"
              onClick={() => set({ parts: [...draft.parts, { of: "", price: "" }] })}
            >
              Add a part
            </button>
            <p className="pack-note">
              By part (PS.C1), value, kind with its rating (resistor 3 W) or kind alone; the first that is there counts.
            </p>
          </fieldset>
        </div>
        {wrong !== undefined && (
          <p className="field-words" role="alert">
            {wrong}
          </p>
        )}
        <div className="pack-price-buttons">
          <button type="submit" className="button primary">
            Keep
          </button>
          <button type="button" className="button" onClick={() => dialog.current?.close()}>
            Leave
          </button>
        </div>
      </form>
    </dialog>
  );
}
