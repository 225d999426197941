import type { PriceBook } from "@platewright/design";
import { useState } from "react";
import { ChooseFile } from "../../parts/choose-file.tsx";
import { useHands } from "../../state/use-session.ts";
import { useDesk } from "../../worker/use-answer.ts";
import { pricesFile } from "./price-draft.ts";
import { PricesForm } from "./prices-form.tsx";
import { saveFile } from "./save-file.ts";
import { counted } from "./words.ts";

/** The builder's own prices for the price sheet: from a file, or typed; kept by this browser. */
export function PricesPart({
  prices,
  onPrices,
}: {
  prices: PriceBook | undefined;
  onPrices: (prices: PriceBook | undefined) => void;
}) {
  const desk = useDesk();
  const hands = useHands();
  const [writing, setWriting] = useState(false);
  const take = async (chosen: File) => {
    const text = await chosen.text();
    const { value, failure } = await desk.once("readPrices", { text });
    if (value === undefined)
      hands.say({ level: "watch", sentence: `${chosen.name}: ${failure ?? "it could not be read."}` });
    else onPrices(value);
  };
  return (
    <>
      <dt>Prices</dt>
      <dd>
        <span className="pack-price-buttons no-print">
          <button type="button" className="button" onClick={() => setWriting(true)}>
            {prices === undefined ? "Write…" : "Change…"}
          </button>
          <ChooseFile words="From a file…" accept=".json,application/json" onChoose={(chosen) => void take(chosen)} />
          {prices !== undefined && (
            <>
              <button
                type="button"
                className="button"
                aria-label="Save prices as a file"
                onClick={() => saveFile("prices.json", new Blob([pricesFile(prices)], { type: "application/json" }))}
              >
                Save
              </button>
              <button
                type="button"
                className="button quiet"
                aria-label="Remove prices"
                onClick={() => onPrices(undefined)}
              >
                Remove
              </button>
            </>
          )}
        </span>
        <span className="pack-note">
          {prices === undefined
            ? ""
            : `${prices.currency}, ${counted(Object.keys(prices.parts).length, "price")}, ${hours(prices)} h. `}
          Kept by this browser, not in the shop.
        </span>
      </dd>
      {writing && (
        <PricesForm
          prices={prices}
          onKeep={(book) => {
            onPrices(book);
            setWriting(false);
          }}
          onClose={() => setWriting(false)}
        />
      )}
    </>
  );
}

const hours = ({ work }: PriceBook): number => Math.round(10 * work.reduce((sum, one) => sum + one.hours, 0)) / 10;
