import { useEffect, useState } from "react";
import { ChooseFile } from "../../parts/choose-file.tsx";
import { SectionHead } from "../../parts/section-head.tsx";
import { useSession } from "../../state/use-session.ts";
import { Refused } from "./fields.tsx";
import type { PanelProps } from "./panel.ts";
import { Tracing } from "./tracing.tsx";

/** Larger pictures are read at this many pixels on their longer side: more than a hand can point at. */
const LARGEST_SIDE = 6000;
/** Holes traced from a photo of the plate; the picture stays in this page. */
export function TracePhoto({ onChoose }: PanelProps) {
  const chassis = useSession((session) => session.book.value.chassis);
  const [picture, setPicture] = useState<ImageBitmap>();
  const [name, setName] = useState("");
  const [wrong, setWrong] = useState<string>();
  useEffect(() => () => picture?.close(), [picture]);
  const take = async (file: File) => {
    try {
      setPicture(await readPicture(file));
      setName(file.name);
      setWrong(undefined);
    } catch {
      setWrong(`${file.name} is no picture that can be read; a JPEG, PNG or WebP file can.`);
    }
  };
  if (chassis === undefined) return <p className="metal-note">Begin a plate first.</p>;
  return (
    <section className="metal-trace" aria-labelledby="metal-trace">
      <SectionHead
        id="metal-trace"
        title="From a photo"
        note="the picture stays in this page; nothing is sent"
        end={
          <ChooseFile
            words={picture === undefined ? "Choose a photo" : "Another photo"}
            accept="image/*"
            onChoose={(chosen) => void take(chosen)}
          />
        }
      />
      <Refused words={wrong} />
      {picture === undefined ? (
        <p className="metal-note">
          Take it from straight above, from as far as the plate still fills the picture, with a ruler on the metal or
          two distances that you have measured: one along the front edge, one across.
        </p>
      ) : (
        <Tracing key={name} name={name} picture={picture} chassis={chassis} onChoose={onChoose} />
      )}
    </section>
  );
}

async function readPicture(file: File): Promise<ImageBitmap> {
  const whole = await createImageBitmap(file);
  const longer = Math.max(whole.width, whole.height);
  if (longer <= LARGEST_SIDE) return whole;
  const share = LARGEST_SIDE / longer;
  const smaller = await createImageBitmap(whole, {
    resizeWidth: Math.round(whole.width * share),
    resizeHeight: Math.round(whole.height * share),
    resizeQuality: "high",
  });
  whole.close();
  return smaller;
}
