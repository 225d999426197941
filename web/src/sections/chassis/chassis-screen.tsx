import { useState } from "react";
import { Choice } from "../../parts/choice.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import type { Chosen } from "./panel.ts";
import { PlateView } from "./plate-view.tsx";
import "./chassis.css";

export type ShownFace = "top" | "under";

export function ChassisScreen() {
  const has = useSession((session) => session.book.value.chassis !== undefined);
  return has ? <Sheet /> : <Empty />;
}

function Empty() {
  return <p className="waiting">This design has no chassis yet.</p>;
}

function Sheet() {
  const [face, setFace] = useState<ShownFace>("top");
  const [chosen, setChosen] = useState<Chosen>();
  const plate = useSession((session) => session.book.value.chassis?.plate);
  return (
    <div className="chassis-sheet">
      <section aria-labelledby="chassis-plate">
        <SectionHead
          id="chassis-plate"
          title={face === "top" ? "Top plate, seen from above" : "Top plate, seen from below"}
          note={
            face === "top"
              ? `${plate?.widthMillimetres} × ${plate?.depthMillimetres} × ${plate?.thicknessMillimetres} mm ${plate?.material}`
              : "mirrored: the datum is at the right, x runs leftward"
          }
          end={
            <Choice
              label="Face"
              options={[
                { value: "top", words: "Top" },
                { value: "under", words: "Underside" },
              ]}
              value={face}
              onChoose={setFace}
            />
          }
        />
        <PlateView face={face} chosen={chosen} onChoose={setChosen} />
      </section>
    </div>
  );
}
