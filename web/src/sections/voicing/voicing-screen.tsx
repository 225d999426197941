import { dbu } from "@platewright/engine";
import { useState } from "react";
import { useAnswer } from "../../worker/use-answer.ts";
import { AtLevel } from "./at-level.tsx";
import { Controls } from "./controls.tsx";
import { HarmonicsPlot } from "./harmonics-plot.tsx";
import { Measured } from "./measured.tsx";
import { Pairs } from "./pairs.tsx";
import { Tones } from "./tones.tsx";
import "./voicing.css";

/** A line level of consumer gear's usual digital source: the first thing a builder asks about. */
const FIRST_CURSOR_VOLTS = 1;

export function VoicingScreen() {
  const [channel, setChannel] = useState<string>();
  const [inputVolts, setInputVolts] = useState(FIRST_CURSOR_VOLTS);
  const { value: curves, failure } = useAnswer("voicingCurves", channel === undefined ? {} : { channel });
  const at = channel === undefined ? {} : { channel };
  return (
    <div className="voicing-sheet">
      <div className="voicing-wide">
        <HarmonicsPlot
          curves={curves}
          failure={failure}
          inputVolts={inputVolts}
          onCursor={setInputVolts}
          onChannel={setChannel}
        />
        <Controls at={at} inputVolts={inputVolts} onInput={setInputVolts} inputDbu={dbu(inputVolts)} />
        <div className="voicing-pair">
          <Measured at={at} inputVolts={inputVolts} />
          <Pairs at={at} inputVolts={inputVolts} />
        </div>
      </div>
      <div className="voicing-narrow">
        <AtLevel at={at} inputVolts={inputVolts} />
        <Tones at={at} inputVolts={inputVolts} />
      </div>
    </div>
  );
}

export interface At {
  readonly channel?: string;
}
