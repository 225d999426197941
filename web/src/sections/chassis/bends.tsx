import type { ChassisPlate } from "@platewright/design";
import { SizeField } from "./size-field.tsx";
import { mm } from "./read-length.ts";

type Bend = NonNullable<ChassisPlate["bends"]>[number];

const EDGES = ["front", "rear", "left", "right"] as const;
/** Outside height of a flange to begin with. */
const USUAL_FLANGE = 20;

/** Edges that are bent down, each with its inside radius and the height of its flange. */
export function Bends({ plate, onKeep }: { plate: ChassisPlate; onKeep: (title: string, bends: Bend[]) => void }) {
  const bends = plate.bends ?? [];
  const put = (title: string, next: Bend): undefined => {
    onKeep(
      title,
      bends.map((one) => (one.edge === next.edge ? next : one)),
    );
  };
  return (
    <fieldset className="metal-bends">
      <legend>Bent down</legend>
      {EDGES.map((edge) => {
        const bend = bends.find((one) => one.edge === edge);
        return (
          <div key={edge} className="metal-bend">
            <label className="metal-tick">
              <input
                type="checkbox"
                checked={bend !== undefined}
                onChange={(event) =>
                  event.currentTarget.checked
                    ? onKeep(`Bend the ${edge} edge down`, [
                        ...bends,
                        {
                          edge,
                          insideRadiusMillimetres: plate.thicknessMillimetres,
                          flangeMillimetres: USUAL_FLANGE,
                        },
                      ])
                    : onKeep(
                        `No bend at the ${edge} edge`,
                        bends.filter((one) => one.edge !== edge),
                      )
                }
              />
              {edge} edge
            </label>
            {bend !== undefined && (
              <>
                <SizeField
                  label="inside radius"
                  least={0}
                  most={50}
                  value={bend.insideRadiusMillimetres}
                  onKeep={(value = 0) =>
                    put(`Inside radius at the ${edge} edge ${mm(value)} mm`, {
                      ...bend,
                      insideRadiusMillimetres: value,
                    })
                  }
                />
                <SizeField
                  label="flange"
                  most={500}
                  value={bend.flangeMillimetres}
                  onKeep={(value) =>
                    value === undefined
                      ? undefined
                      : put(`Flange at the ${edge} edge ${mm(value)} mm`, { ...bend, flangeMillimetres: value })
                  }
                />
              </>
            )}
          </div>
        );
      })}
    </fieldset>
  );
}
