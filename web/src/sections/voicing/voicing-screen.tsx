import { useState } from "react";
import { useSession } from "../../state/use-session.ts";
import { useAnswer } from "../../worker/use-answer.ts";
import { AtLevel } from "./at-level.tsx";
import type { At } from "./channels.ts";
import { Controls } from "./controls.tsx";
import { HarmonicsPlot } from "./harmonics-plot.tsx";
import { Measured } from "./measured.tsx";
import { Pairs } from "./pairs.tsx";
import { Rank } from "./rank.tsx";
import { Shares } from "./shares.tsx";
import { Tones } from "./tones.tsx";
import { useRested } from "./use-last.ts";
import "./voicing.css";

/** A round level near what common sources give. */
const FIRST_INPUT_VOLTS = 1;

export function VoicingScreen() {
  const [channel, setChannel] = useState<string>();
  const [inputVolts, setInputVolts] = useState(FIRST_INPUT_VOLTS);
  const at: At = channel === undefined ? {} : { channel };
  const { value: curves, fresh, failure } = useAnswer("voicingCurves", at);
  const held = useSession((session) => session.hand !== undefined);
  const rested = useRested(inputVolts);
  return (
    <div className={held ? "voicing-sheet voicing-held" : "voicing-sheet"}>
      <div className="voicing-wide">
        <HarmonicsPlot
          at={at}
          curves={curves}
          fresh={fresh}
          failure={failure}
          inputVolts={inputVolts}
          onInput={setInputVolts}
          onChannel={setChannel}
        />
        <Controls at={at} inputVolts={inputVolts} onInput={setInputVolts} />
      </div>
      <div className="voicing-narrow">
        <AtLevel at={at} inputVolts={inputVolts} />
      </div>
      <div className="voicing-below">
        <div>
          <Measured at={at} inputVolts={rested} />
          <Rank at={at} inputVolts={rested} />
        </div>
        <div>
          <Pairs at={at} inputVolts={rested} />
          <Shares at={at} inputVolts={rested} />
        </div>
        <Tones at={at} inputVolts={rested} />
      </div>
    </div>
  );
}
