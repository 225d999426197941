import { printValue } from "@platewright/engine";
import { SectionHead } from "../../parts/section-head.tsx";
import { useAnswer } from "../../worker/use-answer.ts";

/** Single faults: what each puts past its rating, whether the fuse opens, what reaches the jack. */
export function Faults() {
  const { value, failure } = useAnswer("supplyFaults", {});
  const harmless = (value ?? []).filter(
    (one) => one.unsolved === null && one.burns.length === 0 && Math.abs(one.outputVolts) < 1,
  );
  const shown = (value ?? []).filter((one) => !harmless.includes(one));
  return (
    <section aria-labelledby="supply-faults">
      <SectionHead
        id="supply-faults"
        title="Single faults"
        note="tubes hot, mains nominal; nothing burns away while it is computed"
      />
      {failure !== undefined && <p role="status">{failure}</p>}
      {value === undefined && failure === undefined && <p className="supply-note">Solving each fault…</p>}
      {value !== undefined && (
        <table>
          <thead>
            <tr>
              <th scope="col">Fault</th>
              <th scope="col">Past its rating</th>
              <th scope="col" className="number">
                Mains
              </th>
              <th scope="col">Fuse</th>
              <th scope="col" className="number">
                Jack, dc
              </th>
            </tr>
          </thead>
          <tbody>
            {shown.map((one) => (
              <tr key={one.id}>
                <th scope="row">{one.words}</th>
                <td className="supply-wrap">
                  {one.unsolved !== null
                    ? "not solved"
                    : one.burns.length === 0
                      ? "nothing"
                      : one.burns
                          .slice(0, 3)
                          .map((burn) => `${burn.part} ${burn.times.toFixed(1)}×`)
                          .join(", ")}
                </td>
                <td className="number">{one.unsolved === null ? printValue(one.mainsAmps, "A", 2) : ""}</td>
                <td>{one.fuse}</td>
                <td className="number">{one.unsolved === null ? printValue(one.outputVolts, "V", 2) : ""}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {harmless.length > 0 && (
        <p className="supply-note">
          Nothing past its rating and nothing at the jack: {harmless.map((one) => one.words).join(", ")}.
        </p>
      )}
    </section>
  );
}
