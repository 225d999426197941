import { useState } from "react";
import { useSession } from "../../state/use-session.ts";
import { Capacitors } from "./capacitors.tsx";
import { Drawer } from "./drawer.tsx";
import { Library } from "./library.tsx";
import { Transformers } from "./transformers.tsx";
import { TubeTables } from "./tube-table.tsx";
import "./shelf.css";

export function ShelfScreen() {
  const shelf = useSession((session) => session.shelf.value);
  const [compared, setCompared] = useState<readonly string[]>([]);
  return (
    <div className={compared.length > 0 ? "shelf-sheet comparing" : "shelf-sheet"}>
      <div className="shelf-stock">
        <TubeTables shelf={shelf} onCompare={(type) => setCompared([type])} />
        <Drawer shelf={shelf} />
        <div className="shelf-pair">
          <Capacitors shelf={shelf} />
          <Transformers shelf={shelf} />
        </div>
      </div>
      <div className="shelf-known">
        <Library shelf={shelf} compared={compared} onCompare={setCompared} />
      </div>
    </div>
  );
}
