import { useState } from "react";
import { LevelSign } from "../../parts/level.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import type { PaperAnswer } from "./asks.ts";
import type { Pack } from "./use-pack.ts";
import { useFiles } from "./use-files.ts";
import { useWish } from "./use-wish.ts";
import { counted } from "./words.ts";

/** Print and files. What stands at stop is said before the buttons. */
export function OutputPart({
  pack,
  papers,
  shown,
  onPrint,
}: {
  pack: Pack;
  papers: readonly PaperAnswer[];
  shown: PaperAnswer | undefined;
  onPrint: (kinds: ReadonlySet<string>) => void;
}) {
  const { told, changes } = pack;
  const ready = told.fresh && papers.length > 0;
  const changed = papers.filter((one) => (changes?.get(one.kind)?.what ?? "same") !== "same");
  const pages = papers.reduce((sum, one) => sum + one.pages.length, 0);
  const [making, setMaking] = useState<string>();
  const save = useFiles(pack);
  const get = async (what: string) => {
    setMaking(what);
    await save(what);
    setMaking(undefined);
  };
  const all = () => onPrint(new Set(papers.map((one) => one.kind)));
  useWish(ready, { print: all, zip: () => void get("zip") });
  const some = changed.length > 0 && changed.length < papers.length;
  return (
    <section aria-labelledby="pack-output">
      <SectionHead id="pack-output" title="Print and files" note="true size, black ink" />
      <Stops titles={papers.length === 0 ? [] : (told.value?.stops ?? [])} />
      <div className="pack-print-buttons no-print">
        <button type="button" className={`button${some ? "" : " primary"}`} disabled={!ready} onClick={all}>
          Print all, {counted(pages, "page")}
        </button>
        {some && (
          <button
            type="button"
            className="button primary"
            disabled={!ready}
            onClick={() => onPrint(new Set(changed.map((one) => one.kind)))}
          >
            Print {changed.length} changed
          </button>
        )}
        <button
          type="button"
          className="button"
          disabled={!ready || shown === undefined}
          onClick={() => onPrint(new Set([shown?.kind ?? ""]))}
        >
          Print this one
        </button>
      </div>
      <p className="pack-note no-print">Print at 100 %, no margins, not “fit to page”.</p>
      <ul className="pack-files">
        {filesOf(shown, told.value?.carriers).map((row) => (
          <FileRow key={row.files[0]?.[0]} {...row} ready={ready} making={making} get={get} />
        ))}
      </ul>
    </section>
  );
}

function Stops({ titles }: { titles: readonly string[] }) {
  if (titles.length === 0) return null;
  return (
    <div className="pack-stops">
      <LevelSign level="stop" words={`${counted(titles.length, "finding")} at stop: do not build`} />
      <ul>
        {titles.slice(0, 3).map((title) => (
          <li key={title}>{title}</li>
        ))}
      </ul>
      <a href="#rework" className="no-print">
        {titles.length > 3 ? `${titles.length - 3} more, and what mends them` : "What mends them"}
      </a>
    </div>
  );
}

interface Row {
  readonly title: string;
  readonly note: string;
  /** Kinds of the workshop's files, and what stands on their buttons. */
  readonly files: readonly (readonly [what: string, words: string])[];
}

/** Carriers beyond these are in the zip alone. */
const MOST_CARRIERS = 3;

const filesOf = (shown: PaperAnswer | undefined, carriers: readonly string[] | undefined): readonly Row[] => [
  {
    title: "Everything",
    note: "",
    files: [
      ["manifest", "Manifest"],
      ["zip", "Zip"],
    ],
  },
  { title: "All papers", note: "with bookmarks", files: [["pack", "PDF"]] },
  ...(shown === undefined
    ? []
    : [{ title: shown.title, note: "this paper alone", files: [[shown.kind, "PDF"]] as const }]),
  { title: "Parts list", note: "for a spreadsheet", files: [["parts-list-csv", "CSV"]] },
  ...(carriers === undefined
    ? []
    : [
        {
          title: "Plate",
          note: "",
          files: [
            ["plate-dxf", "DXF"],
            ["plate-underside-dxf", "DXF below"],
            ["plate-svg", "SVG"],
          ] as const,
        },
        ...carriers.slice(0, MOST_CARRIERS).map((name) => ({
          title: carrierWords(name),
          note: "to cut",
          files: [[`${name}-dxf`, "DXF"]] as const,
        })),
      ]),
];

/** "ring-v3" → "Ring V3". */
const carrierWords = (name: string): string => {
  const words = name.split("-");
  const last = words.pop() ?? "";
  return [...words, last.toUpperCase()].join(" ").replace(/^./, (letter) => letter.toUpperCase());
};

function FileRow({
  title,
  note,
  files,
  ready,
  making,
  get,
}: Row & {
  ready: boolean;
  making: string | undefined;
  get: (what: string) => Promise<void>;
}) {
  return (
    <li>
      <span>
        <b>{title}</b>
        <span className="muted">{note}</span>
      </span>
      <span className="pack-file-buttons no-print">
        {files.map(([what, words]) => (
          <button
            key={what}
            type="button"
            className="button"
            aria-label={`Save ${title}, ${words}`}
            disabled={!ready || making !== undefined}
            onClick={() => void get(what)}
          >
            {making === what ? "making…" : words}
          </button>
        ))}
      </span>
    </li>
  );
}
